"""How much memory a very large card takes in the window; in a process of its own, since a peak stays."""

import json
import resource
import subprocess
import sys
from pathlib import Path

from tests.benchmarks.feel.watch import live
from tests.benchmarks.feel.window import PATIENCE_S, read_to_the_end, unmeasured, window_on

MB = 1e6


def peak_mb(root: Path) -> tuple[int, float, float]:
    """Return the number of frames, the memory before the card was opened and at its highest, in megabytes."""
    words = [sys.executable, "-m", "tests.benchmarks.feel.memory", str(root)]
    told = subprocess.run(words, check=True, capture_output=True, text=True).stdout
    frames, before, after = json.loads(told)
    return int(frames), float(before), float(after)


def _measure(root: Path) -> None:
    with window_on(unmeasured) as window:
        before = _highest_mb()
        read_to_the_end(window, root)
        frames = len(window.session.frames)
        for index in range(0, frames, max(1, frames // 200)):
            window.sorting.go(index)
            live(lambda: not window.pictures.is_busy, patience_s=PATIENCE_S)
        sys.stdout.write(json.dumps([frames, before, _highest_mb()]))


def _highest_mb() -> float:
    # Linux counts in kibibytes, macOS in bytes.
    unit = 1 if sys.platform == "darwin" else 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / MB


if __name__ == "__main__":
    _measure(Path(sys.argv[1]))
