"""Card Triage: from a night's memory card to the few frames worth keeping."""

__version__ = "0.1.0"
