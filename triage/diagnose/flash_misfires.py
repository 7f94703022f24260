"""Flash misfires: its light is missing on some frames and healthy on others, without a pattern."""

import math

import numpy as np

from triage.diagnose import limits
from triage.diagnose.lamp import Explanation, Lamp, certainty, misfit
from triage.records.diagnosis import FaultKind

_BY_FRAMES = (0.2, 0.35, 0.5, 0.65, 0.75, 0.82, 0.88, 0.92)
_BY_BURSTS = (0.4, 0.55, 0.8, 0.95)  # misses of one trip may be one cause


def explain_misfires(lamp: Lamp) -> Explanation | None:
    """Explain a lamp by misses at random.

    Parameters
    ----------
    lamp : Lamp
        Its frames.

    Returns
    -------
    Explanation or None
        None without a miss.

    Notes
    -----
    Random misses cost the length of naming them: the entropy of their share for every frame.
    """
    off = lamp.off
    missed = int(off.sum())
    if not missed or missed == len(off):
        return None
    share = missed / len(off)
    naming = -len(off) * (share * math.log(share) + (1.0 - share) * math.log(1.0 - share))
    fit = float(np.minimum(misfit(lamp.output, 1.0), misfit(lamp.output, 0.0)).sum())

    return Explanation(
        kind=FaultKind.MISFIRES,
        cost=fit + naming + limits.PENALTY[FaultKind.MISFIRES],
        shown=lamp.places[off],
        certainty=min(certainty(missed, _BY_FRAMES), certainty(lamp.bursts(off), _BY_BURSTS)),
        lasting=False,
        figures={"missed": float(missed), "frames": float(len(off))},
    )
