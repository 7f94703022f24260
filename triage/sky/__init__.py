"""Sun and moon for a place and a time."""
