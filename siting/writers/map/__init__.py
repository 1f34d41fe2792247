"""The offline map."""
