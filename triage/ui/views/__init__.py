"""Widgets of the window."""
