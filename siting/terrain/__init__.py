"""The ground as a surface: heights, slopes, the shaded backdrop."""
