"""The ground along laydown and guys, and the rose of all directions: for paper and for the map."""
