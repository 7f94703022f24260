"""The figures as lines of text."""

from collections.abc import Sequence

import numpy as np

from tests.benchmarks.feel.keys import Series
from tests.benchmarks.feel.opening import Answering, Opening

LONG_MS = 50.0
"""A window that does not answer for longer is felt to stick."""


def opening_lines(took: Sequence[Opening]) -> list[str]:
    """Return a line for each opening: seconds, and in units of bare reading of the headers."""
    return [
        f"{each.frames:,} frames: headers alone {each.bare_s:.2f} s; time line {_against(each.time_line_s, each)}; "
        f"first picture {_against(each.picture_s, each)}; processor time {each.work_s:.2f} s against "
        f"{each.bare_work_s:.2f} s ({each.work_s / each.bare_work_s:.2f} times)"
        for each in took
    ]


def _against(seconds: float, each: Opening) -> str:
    return f"{seconds:.2f} s ({seconds / each.bare_s:.2f} times)"


def keys_lines(series: Sequence[Series]) -> list[str]:
    """Return lines for each series: median, 95th percentile and maximum."""
    lines = []
    for each in series:
        lines.append(f"  {each.what:22s} first picture {spread(each.first_ms)}")
        if each.sharp_ms:
            lines.append(f"  {'':22s} sharp         {spread(each.sharp_ms)}")
        lines.append(f"  {'':22s} own work      {spread(each.own_ms)}")
    return lines


def spread(values: Sequence[float]) -> str:
    """Show median, 95th percentile, maximum and number of some milliseconds."""
    middle, high = np.percentile(values, [50, 95])
    return f"{middle:6.1f} {high:6.1f} {max(values):6.1f} ms (n {len(values)})"


def answering_lines(heard: Sequence[Answering]) -> list[str]:
    """Return lines for each stretch: the longest gaps, how many were long, and the thread's own work."""
    lines = []
    for each in heard:
        gaps, busy = each.beats.gaps_ms, each.beats.busy_ms
        long = sum(gap > LONG_MS for gap in gaps)
        lines.append(
            f"{each.what} ({each.seconds:.0f} s): longest {max(gaps):.0f} ms, 99th percentile "
            f"{np.percentile(gaps, 99):.0f} ms, {long} of {len(gaps)} over {LONG_MS:.0f} ms; "
            f"own work at most {max(busy):.0f} ms"
        )
    return lines


def memory_lines(frames: int, before_mb: float, peak_mb: float) -> list[str]:
    """Return a line."""
    return [f"{frames:,} frames: {before_mb:.0f} MB before, {peak_mb:.0f} MB at most"]
