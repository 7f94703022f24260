"""Painting of rows, from roles only."""
