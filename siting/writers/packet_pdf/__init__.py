"""One PDF for the truck: cover, every sheet, every check."""
