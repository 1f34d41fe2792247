"""The stake-out sheet."""
