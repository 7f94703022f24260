"""What stays for as long as a card is open, and the collector of cycles."""

import gc


def keep_for_long() -> None:
    """Spare the collector all there is now, until `keep_no_longer`.

    It would go over the records of the whole card, and over the program itself, again and again; for a card of
    2,000 frames that stops every thread for 60 ms. What is given up is still given back at once, but for cycles.
    """
    gc.freeze()


def keep_no_longer() -> None:
    """Let the collector see everything again, as when a card is left."""
    gc.unfreeze()
