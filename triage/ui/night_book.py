"""What a person said of nights and sites, kept in a small file of its own and offered again; no widgets."""

import json
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from triage.export.atomic_write import atomic_write
from triage.records.night import Window
from triage.records.result import FARTHEST_M, Options
from triage.sky.zone import parse_zone
from triage.ui.tongue import tr

MOST_CARDS = 500
"""Cards remembered, the latest ones."""
NO_DEGREES = {
    90: "\u201c{text}\u201d is not a latitude: degrees from -90 to 90, north positive.",
    180: "\u201c{text}\u201d is not a longitude: degrees from -180 to 180, east positive.",
}

NO_SITE = "That cells were fresh goes on record for a site: give the site a name, or leave the cells out."
NO_METRES = "\u201c{text}\u201d is no distance from the camera: metres, above 0 and up to {most}, as in 3.5."


def parse_degrees(text: str, *, limit: int) -> float | None:
    """Return degrees as a person writes them, or None for an empty text; a decimal comma is understood.

    Parameters
    ----------
    text : str
        As written.
    limit : int
        90 for a latitude, 180 for a longitude.

    Raises
    ------
    ValueError
        It is not one, with a sentence that says what is.
    """
    if not text.strip():
        return None
    value = _number(text.strip().removesuffix("°"))
    if not -limit <= value <= limit:  # also refuses nan
        raise ValueError(tr(NO_DEGREES[limit], text=text))
    return value


def parse_metres(text: str) -> float | None:
    """Return metres as a person writes them, or None for an empty text; a decimal comma is understood.

    Raises
    ------
    ValueError
        It is no distance from a camera, with a sentence that says what is.
    """
    if not text.strip():
        return None
    value = _number(text.strip().removesuffix("m"))
    if not 0 < value <= FARTHEST_M:  # also refuses nan
        raise ValueError(tr(NO_METRES, text=text, most=f"{FARTHEST_M:g}"))
    return value


def _number(text: str) -> float:
    """Return a number with a decimal point or comma; nan for anything else."""
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return float("nan")


@dataclass(frozen=True, slots=True)
class Wish:
    """What a person wrote of a night, not yet understood.

    Attributes
    ----------
    site, lat, lon, tz : str
        As written; empty for not known.
    flashes : int or None
        None to have it worked out.
    setup : tuple of Window
        Empty to have it worked out.
    distance : str
        Metres to where the animals pass, as written; empty for not known.
    has_fresh_cells : bool
        The flashes had fresh cells when the night began: for the record of the site, and no option.
    """

    site: str = ""
    lat: str = ""
    lon: str = ""
    tz: str = ""
    flashes: int | None = None
    setup: tuple[Window, ...] = ()
    distance: str = ""
    has_fresh_cells: bool = False

    @classmethod
    def of(cls, options: Options) -> "Wish":
        """Return options as they would be written."""
        lat, lon, far = (
            "" if at is None else f"{at:g}" for at in (options.lat, options.lon, options.distance_m)
        )
        return cls(options.site or "", lat, lon, options.tz or "", options.flashes, options.setup, far)

    def understood(self) -> Options:
        """Return it as options.

        Raises
        ------
        ValueError
            With a sentence that says what is wrong, and what would be right.
        """
        lat, lon = parse_degrees(self.lat, limit=90), parse_degrees(self.lon, limit=180)
        if (lat is None) != (lon is None):
            raise ValueError(tr("A place has both a latitude and a longitude."))
        zone = self.tz.strip() or None
        if zone is not None:
            parse_zone(zone)
        if any(window.end <= window.start for window in self.setup):
            raise ValueError(tr("A stretch at the rig ends after it starts."))
        setup = tuple(sorted(self.setup, key=lambda window: (window.start, window.end)))
        site = " ".join(self.site.split()) or None
        if self.has_fresh_cells and site is None:
            raise ValueError(tr(NO_SITE))
        return Options(
            setup=setup,
            lat=lat,
            lon=lon,
            tz=zone,
            flashes=self.flashes,
            site=site,
            distance_m=parse_metres(self.distance),
        )


class NightBook:
    """What was said of cards and sites.

    Parameters
    ----------
    path : Path
        The file, made on the first change; a damaged one counts as empty.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        told = _read(path)
        self._cards: dict[str, Options] = told.get("cards", {})
        self._sites: dict[str, Options] = told.get("sites", {})

    def card(self, digest: str) -> Options | None:
        """Return what was said of a card, or None."""
        return self._cards.get(digest)

    def sites(self) -> tuple[str, ...]:
        """Return the names of known sites."""
        return tuple(sorted(self._sites, key=str.casefold))

    def site(self, name: str) -> Options | None:
        """Return what was last said of a site, without the times of a night; None for an unknown one."""
        return self._sites.get(name)

    def remember(self, digest: str, options: Options) -> None:
        """Keep what is said of a card, and of its site.

        Raises
        ------
        OutputError
            It cannot be written down; then nothing is remembered.
        """
        cards = {at: said for at, said in self._cards.items() if at != digest} | {digest: options}
        cards = dict(list(cards.items())[-MOST_CARDS:])
        sites = dict(self._sites)
        if options.site:
            sites[options.site] = replace(options, setup=())
        told = {
            "cards": {at: _told(said) for at, said in cards.items()},
            "sites": {at: _told(said) for at, said in sites.items()},
        }
        atomic_write(self._path, json.dumps(told, indent=1).encode())
        self._cards, self._sites = cards, sites


def _told(options: Options) -> dict[str, object]:
    setup = [[window.start.isoformat(), window.end.isoformat()] for window in options.setup]
    return {
        "setup": setup,
        "lat": options.lat,
        "lon": options.lon,
        "tz": options.tz,
        "flashes": options.flashes,
        "site": options.site,
        "distance": options.distance_m,
    }


def _read(path: Path) -> dict[str, dict[str, Options]]:
    try:
        told = json.loads(path.read_text(encoding="utf-8"))
        return {
            part: {name: _understood(said) for name, said in told[part].items()}
            for part in ("cards", "sites")
        }
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return {}


def _understood(said: dict[str, Any]) -> Options:
    """Return options as written down; what makes no sense raises, as any damage of the file does."""
    setup = tuple(
        Window(datetime.fromisoformat(start), datetime.fromisoformat(end)) for start, end in said["setup"]
    )
    # The distance is absent where it was written down before there was a field for it.
    lat, lon, far = (
        "" if at is None else str(float(at)) for at in (said["lat"], said["lon"], said.get("distance"))
    )
    flashes = None if said["flashes"] is None else int(said["flashes"])
    return Wish(said["site"] or "", lat, lon, said["tz"] or "", flashes, setup, far).understood()
