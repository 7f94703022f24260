"""From frames to bursts and visits."""
