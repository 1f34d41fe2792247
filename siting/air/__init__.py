"""The mast held against rules of air navigation: who is to be told, and how it is made visible."""
