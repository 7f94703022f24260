"""Make many records without the collector going over all of them again and again."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """Hold the collector of cycles back while records are made.

    Records hold no cycles, but each hundred thousand of them makes the collector look at all there are: at 20,000
    frames that is a third of the time it takes to open a known card. Not for work that decodes: what libraries
    leave behind there may hold megabytes.

    Yields
    ------
    None
        Once; the collector is as it was afterwards.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
