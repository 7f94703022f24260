"""Make the pictures of one size of window."""

import sys
import tempfile
import traceback
from collections.abc import Sequence
from pathlib import Path

from PySide6.QtWidgets import QApplication

from tests.screens.nights import Sample
from tests.screens.stage import Stage
from tests.screens.states import STATES, State
from triage.pipeline.steps import Step


def shoot(steps: list[Step], folder: Path, size: tuple[int, int], only: Sequence[str] | None) -> int:
    """Make the pictures; one that fails does not keep the others away.

    Returns
    -------
    int
        0 when all are there, 1 where one failed, 2 where there is no state of a name wanted.
    """
    _app = QApplication.instance() or QApplication(["tests.screens"])
    sample = Sample(steps)
    unknown = set(only or ()) - {state.name for state in STATES}
    if unknown:
        sys.stderr.write(f"There is no state called {min(unknown)}.\n")
        return 2
    folder.mkdir(parents=True, exist_ok=True)
    wanted = [state for state in STATES if not only or state.name in only]
    failed = [state.name for state in wanted if not _one(sample, state, folder, size)]
    sys.stderr.write(f"{len(wanted) - len(failed)} of {len(wanted)} pictures in {folder}\n")
    return 1 if failed else 0


def _one(sample: Sample, state: State, folder: Path, size: tuple[int, int]) -> bool:
    with tempfile.TemporaryDirectory(prefix="card-triage-screens-") as place:
        stage = Stage(sample, state.pipeline(sample), Path(place), size)
        try:
            state.drive(stage)
            stage.grab(folder / f"{state.name}.png")
        except Exception:  # noqa: BLE001 - a bench of many pictures goes on; what failed is told
            sys.stderr.write(f"{state.name}:\n{traceback.format_exc()}")
            return False
        finally:
            stage.strike()
    return True
