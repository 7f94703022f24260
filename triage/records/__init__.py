"""Immutable records that every layer above speaks in; no behaviour beyond simple questions about themselves."""
