"""When the sun sets next, for the sheet before dusk; no widgets."""

from datetime import timedelta

from triage.pipeline.place import place_of, zone_of
from triage.records.result import Options, Triage
from triage.sky.heaven import night_sky
from triage.ui.timeline.words import clock_words, duration_words
from triage.ui.tongue import tr
from triage.ui.words import day

DAY = timedelta(days=1)
UNKNOWN = (
    "Say where the camera stood, in \u201cAbout this night\u201d, and this sheet says when the sun sets."
)


def sunset_words(triage: Triage, options: Options) -> str:
    """Return when the sun sets next after the last frame, in the camera's time; or what to say to learn it."""
    place, zone = place_of(triage.frames, options), zone_of(triage.frames, options)
    if place is None or zone is None:
        return tr(UNKNOWN)
    last = max(frame.time for frame in triage.frames)
    # The sunset of a stretch is that of the evening it begins in, which may be over already.
    evenings = (night_sky(at, at + DAY, lat=place[0], lon=place[1], zone=zone) for at in (last, last + DAY))
    sunset = next((sky.sunset for sky in evenings if sky.sunset is not None and sky.sunset > last), None)
    if sunset is None:
        return tr("The sun does not set within two days of the last frame.")
    return tr(
        "The sun sets next on {day} at {time} by the camera's clock, {after} after the last frame.",
        day=day(sunset),
        time=clock_words(sunset),
        after=duration_words((sunset - last).total_seconds()),
    )
