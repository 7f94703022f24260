"""How a picture lies in its view: scale and place, without Qt widgets."""

from dataclasses import dataclass, replace

from triage.records.measurement import Box

ZOOM_STEP = 1.25
CLOSEST = 8.0
"""Screen pixels per picture pixel, at most."""
PAN_SHARE = 0.25
"""Share of the view that one step moves."""


@dataclass(frozen=True, slots=True)
class Gaze:
    """Where one looks; lengths of the view are in the screen's own pixels.

    Attributes
    ----------
    picture : tuple of int
        Width and height of the whole picture in its own pixels.
    view : tuple of int
        Width and height of the view in the screen's pixels.
    scale : float or None
        Screen pixels per picture pixel; None to fit the whole picture.
    centre : tuple of float
        What of the picture stands in the middle of the view, as fractions.
    """

    picture: tuple[int, int]
    view: tuple[int, int]
    scale: float | None = None
    centre: tuple[float, float] = (0.5, 0.5)

    @property
    def fit_scale(self) -> float:
        """The scale at which the whole picture fits; small pictures are not blown up beyond three times."""
        width, height = self.picture
        return min(self.view[0] / max(1, width), self.view[1] / max(1, height), 3.0)

    @property
    def actual_scale(self) -> float:
        """The scale in use."""
        return self.fit_scale if self.scale is None else self.scale

    @property
    def fits(self) -> bool:
        """Whether the whole picture is seen."""
        return self.scale is None

    def rect(self) -> tuple[float, float, float, float]:
        """Return left, top, width and height of the whole picture in the view."""
        width, height = self.picture[0] * self.actual_scale, self.picture[1] * self.actual_scale
        x, y = (0.5, 0.5) if self.fits else self.centre
        return self.view[0] / 2 - x * width, self.view[1] / 2 - y * height, width, height

    def sized(self, *, picture: tuple[int, int], view: tuple[int, int]) -> "Gaze":
        """Return the same look at another picture or in another view."""
        return replace(self, picture=picture, view=view)._held()

    def at(self, box: Box | None) -> "Gaze":
        """Return full size, the middle of a box in the middle of the view; without a box, the middle."""
        x, y = ((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2) if box else (0.5, 0.5)
        return replace(self, scale=max(1.0, self.fit_scale), centre=(x, y))._held()

    def whole(self) -> "Gaze":
        """Return the whole picture."""
        return replace(self, scale=None, centre=(0.5, 0.5))

    def zoomed(self, steps: float, anchor: tuple[float, float] | None = None) -> "Gaze":
        """Return a closer look (or, with negative steps, one from further away).

        What stands at `anchor` (pixels of the view; its middle by default) stays there. Further away than the
        whole picture is the whole picture.
        """
        scale = min(CLOSEST, self.actual_scale * ZOOM_STEP**steps)
        if scale <= self.fit_scale * 1.001:
            return self.whole()
        left, top, width, height = self.rect()
        ax, ay = anchor or (self.view[0] / 2, self.view[1] / 2)
        x, y = (ax - left) / width, (ay - top) / height
        off_x = (ax - self.view[0] / 2) / (self.picture[0] * scale)
        off_y = (ay - self.view[1] / 2) / (self.picture[1] * scale)
        return replace(self, scale=scale, centre=(x - off_x, y - off_y))._held()

    def panned(self, dx: float, dy: float) -> "Gaze":
        """Return the look moved by pixels of the view; the whole picture does not move."""
        if self.fits:
            return self
        x = self.centre[0] + dx / (self.picture[0] * self.actual_scale)
        y = self.centre[1] + dy / (self.picture[1] * self.actual_scale)
        return replace(self, centre=(x, y))._held()

    def like(self, other: "Gaze") -> "Gaze":
        """Return the look at the same place of this picture, equally close, as another look at its own."""
        if other.fits:
            return self.whole()
        return replace(self, scale=other.scale, centre=other.centre)._held()

    def between(self, other: "Gaze", share: float) -> "Gaze":
        """Return a look on the way to another one at the same picture; at 1 it is the other one.

        Closeness changes by equal factors in equal times, which is what looks even to the eye.
        """
        if share >= 1.0:
            return other
        here, there = ((0.5, 0.5) if gaze.fits else gaze.centre for gaze in (self, other))
        scale = self.actual_scale * (other.actual_scale / self.actual_scale) ** share
        x, y = (a + (b - a) * share for a, b in zip(here, there, strict=True))
        return replace(other, scale=scale, centre=(x, y))

    def _held(self) -> "Gaze":
        """Return the look moved so that no border of the picture leaves the view's border behind."""
        if self.fits:
            return self
        halves = [
            min(0.5, view / (2 * max(1, size) * self.actual_scale))
            for view, size in zip(self.view, self.picture, strict=True)
        ]
        x, y = (min(max(c, half), 1 - half) for c, half in zip(self.centre, halves, strict=True))
        return replace(self, centre=(x, y))
