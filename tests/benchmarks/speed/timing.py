"""Run a command as a process of its own and tell what it took."""

import os
import subprocess
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
_MAXRSS_UNIT = 1 if sys.platform == "darwin" else 1024


@dataclass(frozen=True, slots=True)
class Took:
    """What a process took: seconds by the clock and of the processors, and its memory at the most, in bytes."""

    wall_s: float
    cpu_s: float
    peak_bytes: int


class FailedError(Exception):
    """The command did not end well; says how."""


def timed(words: list[str], extra: Mapping[str, str] | None = None) -> Took:
    """Run ``python`` with words from the root of the repository; 0 and 1 are good ends (1: damaged files)."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **(extra or {})}
    began = time.monotonic()
    with subprocess.Popen(
        [sys.executable, *words], cwd=ROOT, env=environment, stdout=subprocess.DEVNULL
    ) as process:
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in {0, 1}:
        message = f"{' '.join(words)} left with {process.returncode}"
        raise FailedError(message)
    return Took(time.monotonic() - began, used.ru_utime + used.ru_stime, used.ru_maxrss * _MAXRSS_UNIT)
