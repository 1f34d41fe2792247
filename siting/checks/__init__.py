"""Rules held against a layout, one family a module."""
