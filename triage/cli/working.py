"""Run the recipe over a card, with progress on the terminal."""

import gc
from pathlib import Path

from triage.cli.printing import ProgressLine
from triage.cli.stopping import StopFlag
from triage.pipeline.run import run
from triage.pipeline.steps import Finished, FrameJudged, HeadersProgress, PictureRead, Step, TimeLineReady
from triage.records.frame import Frame
from triage.records.result import Options, Triage


def triage_card(root: Path, options: Options, *, stop: StopFlag, cache: Path | None) -> Triage:
    """Triage a whole card.

    Parameters
    ----------
    root : Path
        The card's folder.
    options : Options
        What the user said of the night.
    stop : StopFlag
        Asked between the steps.
    cache : Path or None
        Where what was found out is kept for the next time; None to keep and to use nothing.

    Returns
    -------
    Triage
        The whole answer.

    Raises
    ------
    CardError
        There is no card.
    Stopped
        The user stopped the work.
    """
    with ProgressLine() as line:
        for step in run(root, options, stop=stop, cache=cache):
            if isinstance(step, Finished):
                stop.check()
                gc.freeze()  # an answer stays to the end: nothing is gained by going over it again
                return step.triage
            line.show(progress_text(step))
    msg = "the recipe ended without an answer"
    raise AssertionError(msg)


def time_line(root: Path, *, stop: StopFlag, cache: Path | None) -> tuple[Frame, ...]:
    """Read only when the frames of a card were taken, without looking at the pictures.

    Parameters
    ----------
    root : Path
        The card's folder.
    stop : StopFlag
        Asked between the steps.
    cache : Path or None
        As above.

    Returns
    -------
    tuple of Frame
        In order of exposure.

    Raises
    ------
    CardError
        There is no card.
    Stopped
        The user stopped the work.
    """
    with ProgressLine() as line:
        for step in run(root, Options(), stop=stop, cache=cache):
            if isinstance(step, TimeLineReady):
                return step.frames
            line.show(progress_text(step))
    msg = "the recipe ended without a time line"
    raise AssertionError(msg)


def progress_text(step: Step) -> str:
    """Say in a few words how far the work is.

    Parameters
    ----------
    step : Step
        What the recipe yielded.

    Returns
    -------
    str
        Empty where the step does not tell.
    """
    match step:
        case HeadersProgress():
            return f"Reading times: {step.done} of {step.total} exposures"
        case PictureRead():
            return f"Looking at pictures: {step.done} of {step.total}"
        case FrameJudged():
            return f"Judging: {step.done} of {step.total}"
        case _:
            return ""
