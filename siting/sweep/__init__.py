"""Every azimuth through laydown, layout, lift and checks; the choice and its reasons."""
