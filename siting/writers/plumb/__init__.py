"""The plumb sheet, and the form for readings."""
