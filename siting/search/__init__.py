"""Looks beyond the base as given: the shortest move that mends the land, and places for a mast."""
