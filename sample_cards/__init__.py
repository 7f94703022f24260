"""Rendered nights with known truth."""
