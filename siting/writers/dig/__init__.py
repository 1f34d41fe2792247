"""The dig sheet, the locate notice, the material list."""
