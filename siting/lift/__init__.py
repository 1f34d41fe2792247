"""The mast on its way from the rest line to plumb."""
