"""Compiled kernels that score every cell of a DEM as a base."""
