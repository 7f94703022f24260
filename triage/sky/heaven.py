"""Sun and moon over a place and a stretch of camera time: a thin layer over the `ephem` library.

Conventions are those of the US Naval Observatory's tables: the sun rises and sets when its centre stands at
-50 minutes of arc (34 for refraction, 16 for its radius); civil, nautical and astronomical twilight end at
-6, -12 and -18 degrees; the moon's upper limb rises at -34 minutes (*Almanac for Computers*, USNO 1990). Air
pressure is set to zero, so that the library adds no refraction of its own. Real horizons differ by minutes.

Camera times are wall times of a zone. Where the clocks go back, a time that occurs twice is taken as the
first one.
"""

import itertools
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, tzinfo

import ephem

from triage.records.night import Sky, SkySpan, Window

RISE_ALTITUDE_DEG = -50.0 / 60.0
"""Altitude of the sun's centre at sunrise and sunset (USNO)."""

TWILIGHTS_DEG = (("day", RISE_ALTITUDE_DEG), ("civil", -6.0), ("nautical", -12.0), ("astronomical", -18.0))
"""Each kind of sky and the altitude of the sun's centre above which it reigns; ``night`` is below all."""

LONGEST_STRETCH = timedelta(days=400)
"""Beyond this the dates are surely not one night (a reset clock); spans and moon are left out."""

_MOON_HORIZON_DEG = -34.0 / 60.0
_STEP = timedelta(minutes=10)  # sun and moon move at most 2.5 degrees in it; a shorter grazing event is lost
_DAY = timedelta(days=1)
_FINE = timedelta(seconds=1)

_Height = Callable[[datetime], float]


def sun_altitude(moment_utc: datetime, lat: float, lon: float) -> float:
    """Tell how high the sun's centre stands, without refraction.

    Parameters
    ----------
    moment_utc : datetime
        The moment; naive times are taken as UTC.
    lat, lon : float
        Degrees, north and east positive.

    Returns
    -------
    float
        Degrees above the horizon, -90 to 90.

    Raises
    ------
    ValueError
        When the place is not on Earth.
    """
    return _height(ephem.Sun(), _observer(lat, lon))(_as_utc(moment_utc))


def moon_lit(moment_utc: datetime) -> float:
    """Tell how much of the moon's disc is lit.

    Parameters
    ----------
    moment_utc : datetime
        The moment; naive times are taken as UTC.

    Returns
    -------
    float
        0 (new) to 1 (full), seen from the Earth's centre.
    """
    return float(ephem.Moon(_as_utc(moment_utc)).phase) / 100.0


def night_sky(start: datetime, end: datetime, *, lat: float, lon: float, zone: tzinfo) -> Sky:
    """Work out sun and moon over a stretch of camera time.

    Parameters
    ----------
    start, end : datetime
        Camera time (naive), in order.
    lat, lon : float
        Degrees, north and east positive.
    zone : tzinfo
        The zone whose wall time the camera keeps.

    Returns
    -------
    Sky
        In camera time. The sunset is the first one after `start`, or, where the sun is down at `start`
        already, the one just before; the sunrise is the last one before `end`, or, where the sun is still
        down at `end`, the one just after: so a night whose first frame is late still has its sunset.

    Raises
    ------
    ValueError
        When the place is not on Earth, or `end` is before `start`.
    """
    if end < start:
        message = "The stretch of time ends before it starts."
        raise ValueError(message)
    observer = _observer(lat, lon)
    first, last = _stretch_utc(start, end, zone)
    if last - first > LONGEST_STRETCH:
        return Sky(None, None, (), moon_lit(first + (last - first) / 2), ())
    sun = _height(ephem.Sun(), observer)
    path = _path(sun, first - _DAY, last + _DAY)
    crossings = [
        (moment, rising, kind)
        for kind, altitude in TWILIGHTS_DEG
        for moment, rising in _crossings(sun, path, altitude)
    ]
    days = [(moment, rising) for moment, rising, kind in crossings if kind == "day"]
    sunset = _sunset(days, first, up=sun(first) >= RISE_ALTITUDE_DEG, last=last)
    sunrise = _sunrise(days, last, up=sun(last) >= RISE_ALTITUDE_DEG, first=first)
    inside = sorted(moment for moment, _, _ in crossings if first < moment < last)
    return Sky(
        sunset=None if sunset is None else _wall(sunset, zone),
        sunrise=None if sunrise is None else _wall(sunrise, zone),
        spans=_spans(sun, [first, *inside, last], (start, end), zone),
        moon_lit=moon_lit(first + (last - first) / 2),
        moon_up=_moon_up(observer, (first, last), (start, end), zone),
        sun=_on_the_wall(path, (first - _STEP, last + _STEP), zone),
    )


def _observer(lat: float, lon: float) -> ephem.Observer:
    if not (-90.0 <= lat <= 90.0 and -180.0 <= lon <= 180.0):
        message = (
            f"Latitude {lat:g}, longitude {lon:g} is not a place: "
            "latitudes are -90 to 90, longitudes -180 to 180."
        )
        raise ValueError(message)
    observer = ephem.Observer()
    observer.lat, observer.lon = str(lat), str(lon)
    observer.pressure = 0
    return observer


def _as_utc(moment: datetime) -> datetime:
    """Make a naive UTC time of an aware one; naive ones pass."""
    return moment if moment.tzinfo is None else moment.astimezone(UTC).replace(tzinfo=None)


def _stretch_utc(start: datetime, end: datetime, zone: tzinfo) -> tuple[datetime, datetime]:
    first = _as_utc(start.replace(tzinfo=zone))
    last = _as_utc(end.replace(tzinfo=zone))
    if last < first:  # both in the hour that occurs twice: the end is the second of its two moments
        last = _as_utc(end.replace(tzinfo=zone, fold=1))
    return first, max(first, last)


def _wall(moment: datetime, zone: tzinfo) -> datetime:
    wall = moment.replace(tzinfo=UTC).astimezone(zone).replace(tzinfo=None, fold=0)
    return (wall + timedelta(milliseconds=500)).replace(microsecond=0)


def _height(body: ephem.Body, observer: ephem.Observer) -> _Height:
    def height(moment: datetime) -> float:
        observer.date = moment
        body.compute(observer)
        return float(body.alt) * 180.0 / float(ephem.pi)

    return height


def _path(height: _Height, first: datetime, last: datetime) -> list[tuple[datetime, float]]:
    """Sample a body's height step by step, both ends included."""
    steps = int((last - first) / _STEP)
    moments = [first + step * _STEP for step in range(steps + 1)]
    if moments[-1] < last:
        moments.append(last)
    return [(moment, height(moment)) for moment in moments]


def _on_the_wall(
    path: list[tuple[datetime, float]], stretch: tuple[datetime, datetime], zone: tzinfo
) -> tuple[tuple[datetime, float], ...]:
    """Return the part of a path in a stretch, in camera time; an hour that occurs twice is told once."""
    told: list[tuple[datetime, float]] = []
    for moment, height in path:
        wall = _wall(moment, zone)
        if stretch[0] <= moment <= stretch[1] and (not told or wall > told[-1][0]):
            told.append((wall, height))
    return tuple(told)


def _crossings(
    height: _Height, path: list[tuple[datetime, float]], level: float
) -> list[tuple[datetime, bool]]:
    """Find each moment the height passes a level, and whether it does so rising."""
    return [
        (_halve(height, before, moment, level), now >= level)
        for (before, was), (moment, now) in itertools.pairwise(path)
        if (was >= level) != (now >= level)
    ]


def _halve(height: _Height, low: datetime, high: datetime, level: float) -> datetime:
    above_first = height(low) >= level
    while high - low > _FINE:
        middle = low + (high - low) / 2
        if (height(middle) >= level) == above_first:
            low = middle
        else:
            high = middle
    return low + (high - low) / 2


def _sunset(
    days: list[tuple[datetime, bool]], first: datetime, *, up: bool, last: datetime
) -> datetime | None:
    """Choose the evening's sunset out of rises and sets."""
    sets = [moment for moment, rising in days if not rising]
    before = [moment for moment in sets if first - _DAY <= moment <= first]
    after = [moment for moment in sets if first <= moment <= max(last, first + _DAY)]
    if not up and before:
        return before[-1]
    return after[0] if after else None


def _sunrise(
    days: list[tuple[datetime, bool]], last: datetime, *, up: bool, first: datetime
) -> datetime | None:
    """Choose the last sunrise out of rises and sets."""
    rises = [moment for moment, rising in days if rising]
    before = [moment for moment in rises if min(first, last - _DAY) <= moment <= last]
    after = [moment for moment in rises if last <= moment <= last + _DAY]
    if not up and after:
        return after[0]
    return before[-1] if before else None


def _kind(altitude: float) -> str:
    return next((kind for kind, level in TWILIGHTS_DEG if altitude >= level), "night")


def _spans(
    sun: _Height, moments: list[datetime], ends: tuple[datetime, datetime], zone: tzinfo
) -> tuple[SkySpan, ...]:
    spans: list[SkySpan] = []
    edge = ends[0]
    for begin, finish in itertools.pairwise(moments):
        kind = _kind(sun(begin + (finish - begin) / 2))
        # Camera time may repeat an hour where the clocks go back; edges never do.
        until = ends[1] if finish == moments[-1] else min(max(_wall(finish, zone), edge), ends[1])
        if spans and spans[-1].kind == kind:
            spans[-1] = SkySpan(spans[-1].start, until, kind)
        elif until > edge:
            spans.append(SkySpan(edge, until, kind))
        edge = until
    return tuple(spans) or (SkySpan(ends[0], ends[1], _kind(sun(moments[0]))),)


def _moon_up(
    observer: ephem.Observer,
    stretch: tuple[datetime, datetime],
    ends: tuple[datetime, datetime],
    zone: tzinfo,
) -> tuple[Window, ...]:
    moon = ephem.Moon()
    centre = _height(moon, observer)

    def upper_limb(moment: datetime) -> float:
        return centre(moment) + float(moon.radius) * 180.0 / float(ephem.pi)

    first, last = stretch
    windows: list[Window] = []
    risen = ends[0] if upper_limb(first) >= _MOON_HORIZON_DEG else None
    for moment, rising in _crossings(upper_limb, _path(upper_limb, first, last), _MOON_HORIZON_DEG):
        if rising:
            risen = _wall(moment, zone)
        elif risen is not None:
            windows.append(Window(risen, max(risen, _wall(moment, zone))))
            risen = None
    if risen is not None:
        windows.append(Window(risen, max(risen, ends[1])))
    return tuple(windows)
