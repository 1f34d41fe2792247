"""The version, kept where the lowest layer can read it."""

VERSION = "0.1.0"
