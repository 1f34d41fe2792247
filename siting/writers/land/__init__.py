"""The land sheet: rules of the land, zones and whose they are, overhead lines, air navigation and markings."""
