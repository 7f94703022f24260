"""The night, the rig's health and the chosen event, drawn along time."""
