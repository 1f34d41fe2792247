"""The only readers of files and of text that a person typed."""
