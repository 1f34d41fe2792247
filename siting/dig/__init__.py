"""The digging: every place where the ground is opened, the notice before it, and what to bring."""
