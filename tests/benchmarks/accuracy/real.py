"""Cards of real pictures that were not made for this project, and what a person sees in them.

They lie outside the project, beside its folder, with a README that says where they come from. No box was drawn in
them, so `misplaced` and overlap are not judged; nor is the rig, of which nobody knows.
"""

import re
from pathlib import Path

from tests.benchmarks.accuracy.truth import KINDS, Figure, TrueFrame, TrueNight

FOLDER = Path(__file__).resolve().parents[4] / "shared" / "real"

HAND_FROM = 54
"""First frame of the tree in the wind into which a hand reaches, always across the top or right border."""


def real_nights(folder: Path = FOLDER) -> dict[Path, TrueNight]:
    """Return the truth of each real card there is, by the card's root."""
    makers = {"windy-tree": _tree, "walkers": _walkers}
    return {
        folder / name: TrueNight(name, tuple(map(make, _pictures(folder / name))), None)
        for name, make in makers.items()
        if (folder / name).is_dir()
    }


def _pictures(root: Path) -> list[str]:
    return sorted(path.relative_to(root).as_posix() for path in root.rglob("*.JPG"))


def _frame(path: str, *, somebody: bool, cut: bool | None) -> TrueFrame:
    daylight = dict.fromkeys(("setup", "dark", "half-lit", "dim", "fogged", "damaged"), False)
    kinds: dict[str, bool | None] = {**dict.fromkeys(KINDS), **daylight, "empty": not somebody, "edge": cut}
    figure = Figure(None, "person", visible=True, figures="by eye")
    return TrueFrame(path, None, kinds, (figure,) if somebody else ())


def _tree(path: str) -> TrueFrame:
    hand = int(re.findall(r"(\d{4})\.", path)[-1]) >= HAND_FROM
    return _frame(path, somebody=hand, cut=hand)


def _walkers(path: str) -> TrueFrame:
    return _frame(path, somebody=True, cut=None)
