"""Where the frames of an event stand on its own time scale: stems at their times, thumbnails near; no Qt."""

from collections.abc import Sequence
from dataclasses import dataclass

from triage.ui.timeline.breaks import BrokenScale, broken_scale, tempo_s
from triage.ui.timeline.fan import fan

SPREADS = (1.8, 1.5, 1.25, 1.04, 0.85, 0.65, 0.5, 0.35, 0.25)
"""Tried in turn: how many thumbnail widths the usual gap within a burst may take."""
USUAL_SPREAD = 1.04
"""Taken where nothing fits and the scale has to be scrolled: neighbours just do not overlap."""
LONGEST_GAP = 1.3
"""A gap is drawn true to scale up to this many thumbnail widths,"""
LONGEST_TEMPO = 4.0
"""and in any case up to this many usual gaps: a burst that is a little uneven has no pauses."""


@dataclass(frozen=True, slots=True)
class ScaleLayout:
    """The places of an event's frames, in pixels from the left of all there is to scroll through.

    Attributes
    ----------
    scale : BrokenScale
        The frames' times.
    stems : tuple of float
        Where each frame was taken.
    centres : tuple of float
        The middle of each thumbnail.
    width : float
        How much there is to scroll through.
    offsets : tuple of float
        Seconds after the first frame.
    tempo : float
        The gap in seconds that is usual within a burst.
    """

    scale: BrokenScale
    stems: tuple[float, ...]
    centres: tuple[float, ...]
    width: float
    offsets: tuple[float, ...]
    tempo: float

    def scroll_to_show(self, position: int, *, scroll: float, room: float, thumb: float) -> float:
        """Return the nearest scroll that has a frame and its stem wholly in view, with some company."""
        margin = min(thumb, max(0.0, (room - thumb) / 2))
        low = min(self.centres[position] - thumb / 2, self.stems[position]) - margin
        high = max(self.centres[position] + thumb / 2, self.stems[position]) + margin
        if high - low > room:  # a leader longer than the view: the thumbnail matters more than its stem
            low, high = self.centres[position] - room / 2, self.centres[position] + room / 2
        return self.held(min(max(scroll, high - room), low), room)

    def held(self, scroll: float, room: float) -> float:
        """Return the nearest scroll that leaves no empty view."""
        return max(0.0, min(scroll, self.width - room))

    def visible(self, scroll: float, room: float, thumb: float) -> range:
        """Return the positions of the frames whose thumbnail or stem is in view."""
        low, high = scroll - thumb, scroll + room + thumb
        seen = [
            place
            for place, (stem, centre) in enumerate(zip(self.stems, self.centres, strict=True))
            if low <= centre <= high or low <= stem <= high
        ]
        return range(seen[0], seen[-1] + 1) if seen else range(0)


def scale_layout(times: Sequence[float], *, room: float, thumb: float) -> ScaleLayout:
    """Lay out an event's frames, given in order of time.

    Parameters
    ----------
    times : sequence of float
        Seconds.
    room : float
        Pixels there are to see at once.
    thumb : float
        Width of a thumbnail with its margin.
    """
    tempo = tempo_s(times)
    for spread in SPREADS:
        layout = _laid_out(times, tempo=tempo, spread=spread, room=room, thumb=thumb)
        if layout.width <= room:
            return layout
    return _laid_out(times, tempo=tempo, spread=USUAL_SPREAD, room=room, thumb=thumb)


def fitting_width(frames: int, *, room: float, least: float, most: float) -> float:
    """Return how wide each of so many thumbnails may be to be seen all at once.

    Where they would be too small for that, they have to be scrolled anyway and are of a middling size.
    """
    fitting = room / max(1, frames)
    return min(fitting, most) if fitting >= least else (least + most) / 2


def _laid_out(
    times: Sequence[float], *, tempo: float, spread: float, room: float, thumb: float
) -> ScaleLayout:
    longest = max(LONGEST_GAP, LONGEST_TEMPO * spread) * thumb
    scale = broken_scale(times, px_per_s=spread * thumb / tempo, longest_px=longest)
    margin = thumb / 2
    stems = tuple(margin + x for x in scale.xs)
    needed = max(scale.width, (len(times) - 1) * thumb) + 2 * margin
    centres = fan(stems, [thumb] * len(times), low=0.0, high=max(needed, room))
    width = max(stems[-1], centres[-1]) + margin
    offsets = tuple(time - times[0] for time in times)
    return ScaleLayout(scale, stems, centres, max(width, needed), offsets, tempo)
