"""One exposure and what the camera wrote about it."""

from dataclasses import dataclass, field
from datetime import datetime

from triage.records.card import CardFile


@dataclass(frozen=True, slots=True)
class Capture:
    """What the camera recorded with an exposure; ``None`` where it recorded nothing usable.

    Attributes
    ----------
    taken : datetime or None
        The camera's own wall time, without zone, with its sub-seconds (Exif SubSecTime is a decimal fraction).
    offset_min : int or None
        Exif OffsetTimeOriginal in minutes east of UTC.
    exposure_s, f_number, iso : float or None
        Exposure time in seconds, relative aperture, sensitivity.
    flash : int or None
        Exif Flash bits, a hint and never proof: radio and cable triggers leave "did not fire".
    focal_mm, focal35_mm : float or None
        Focal length, and its 35-mm equivalent.
    sensor_mm : (float, float) or None
        Width and height of the part of the sensor that made the picture, as displayed, by the Exif focal plane
        resolution.
    distance_m : float or None
        Exif SubjectDistance: what the lens was focused at, where it tells.
    orientation : int
        Exif Orientation, 1 to 8; 1 where absent or absurd.
    width, height : int or None
        Size in pixels as displayed (orientation applied).
    make, model, serial : str or None
        The camera.
    file_number : int or None
        The number in the file name (DCF), 1 to 9999.
    lat, lon : float or None
        Degrees, north and east positive.
    temperature_c : float or None
        Exif AmbientTemperature.
    """

    taken: datetime | None = None
    offset_min: int | None = None
    exposure_s: float | None = None
    f_number: float | None = None
    iso: float | None = None
    flash: int | None = None
    focal_mm: float | None = None
    focal35_mm: float | None = None
    orientation: int = 1
    width: int | None = None
    height: int | None = None
    make: str | None = None
    model: str | None = None
    serial: str | None = None
    file_number: int | None = None
    lat: float | None = None
    lon: float | None = None
    temperature_c: float | None = None
    sensor_mm: tuple[float, float] | None = None
    distance_m: float | None = None


@dataclass(frozen=True, slots=True)
class Frame:
    """One exposure.

    Attributes
    ----------
    index : int
        Place in the card's order of exposure, from 0.
    key : str
        Identity that survives copying, renaming of folders and moving: a digest of the main file's name, size
        and first bytes. Decisions are stored under it.
    files : tuple of CardFile
        The main picture first.
    capture : Capture
        What the camera recorded.
    time : datetime
        The time to place the frame at: `Capture.taken`, or the file's time where the camera recorded none.
    time_is_camera : bool
        False where `time` had to come from the file system.
    problem : str or None
        Why the file cannot be read whole, in plain words; None for a sound file.
    """

    index: int
    key: str
    files: tuple[CardFile, ...]
    capture: Capture
    time: datetime
    time_is_camera: bool = True
    problem: str | None = field(default=None)

    @property
    def path(self) -> str:
        """The main picture, relative to the card's root."""
        return self.files[0].path

    @property
    def name(self) -> str:
        """The main picture's file name."""
        return self.files[0].name
