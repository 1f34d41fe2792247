"""The ground as the user names and measures it: words, groups and values read as the classes of published tables."""
