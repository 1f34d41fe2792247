"""The command line, one short file a command."""
