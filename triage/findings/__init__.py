"""From measurements to what is said of a frame."""
