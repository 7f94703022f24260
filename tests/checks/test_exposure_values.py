"""Exposure times, apertures and speeds, against APEX and an independent program's exposure values."""

import math
from fractions import Fraction

import pytest
from PIL.TiffImagePlugin import IFDRational

from sample_cards.camera import Camera
from tests import factories_files as files
from triage.ingest.card import list_card
from triage.ingest.header import read_header

NIGHT = "2026:10:03 22:14:05"

# Nominal tables of APEX (ASA PH2.5-1960, as in D. A. Kerr, "APEX - the Additive System of Photographic Exposure"):
# marked f-number and time by whole value. Marked numbers are rounded by up to a tenth of a stop (11 for 11.31). Its
# f/1 is left out: an ApertureValue of 0 cannot be told from a blank tag, and the program takes it for that.
APERTURES = {
    1: 1.4, 2: 2, 3: 2.8, 4: 4, 5: 5.6, 6: 8, 7: 11, 8: 16, 9: 22, 10: 32,
}  # fmt: skip
TIMES = {
    0: 1, 1: 1 / 2, 2: 1 / 4, 3: 1 / 8, 4: 1 / 15, 5: 1 / 30, 6: 1 / 60, 7: 1 / 125, 8: 1 / 250, 9: 1 / 500,
    10: 1 / 1000,
}  # fmt: skip

# f-number, time, ISO; exposure value, and the same brought to ISO 100 (computed; the first row's is what ExifTool 12.57
# composes as LightValue).
WORKED = [
    (8, Fraction(1, 200), 400, 13.644, 11.644),
    (16, Fraction(1, 125), 100, 14.966, 14.966),
    (5.6, Fraction(1, 125), 100, 11.937, 11.937),
    (11, Fraction(1, 160), 200, 14.241, 13.241),
    (2.8, Fraction(1, 30), 1600, 7.878, 3.878),
]


def capture_of(root, exif):
    files.put(root, "DCIM/100NIGHT/NGT_0001.JPG", files.jpeg(block=files.exif_block(NIGHT, exif=exif)))
    (group,) = list_card(root).groups
    return read_header(root, group).capture


def stops(one, other):
    return abs(math.log2(one / other))


def exposure_value(capture):
    return math.log2(capture.f_number**2 / capture.exposure_s)


@pytest.mark.source("table", "APEX, nominal table of aperture values (ASA PH2.5-1960, D. A. Kerr)")
@pytest.mark.parametrize(("value", "marked"), APERTURES.items())
def test_an_aperture_told_as_apex_is_the_marked_f_number(tmp_path, value, marked):
    capture = capture_of(tmp_path, {0x9202: IFDRational(value, 1)})
    assert 2 * stops(capture.f_number, marked) < 0.1


@pytest.mark.source("table", "APEX, nominal table of time values (ASA PH2.5-1960, D. A. Kerr)")
@pytest.mark.parametrize(("value", "marked"), TIMES.items())
def test_a_time_told_as_apex_is_the_marked_time(tmp_path, value, marked):
    capture = capture_of(tmp_path, {0x9201: IFDRational(value, 1)})
    assert stops(capture.exposure_s, marked) < 0.1


@pytest.mark.source("standard", "CIPA DC-008 (Exif 2.32): ShutterSpeedValue is signed, a time of 4 s is -2")
def test_a_time_longer_than_a_second_has_a_negative_apex_value(tmp_path):
    assert capture_of(tmp_path, {0x9201: IFDRational(-2, 1)}).exposure_s == pytest.approx(4.0)


@pytest.mark.source("law", "Ev = Av + Tv = log2(N^2 / t); Sv = 5 at ISO 100 (APEX)")
@pytest.mark.source("tool", "ExifTool 12.57, Composite:LightValue")
@pytest.mark.parametrize(("f_number", "time", "iso", "value", "at_100"), WORKED)
def test_worked_exposures_have_the_exposure_value_an_independent_program_composes(
    tmp_path, exiftool, f_number, time, iso, value, at_100
):
    exif = {0x829A: IFDRational(time), 0x829D: IFDRational(round(10 * f_number), 10), 0x8827: iso}
    capture = capture_of(tmp_path, exif)
    assert exposure_value(capture) == pytest.approx(value, abs=5e-4)
    ours = exposure_value(capture) - math.log2(capture.iso / 100)
    (told,) = exiftool(["-n", "-LightValue"], [tmp_path / "DCIM/100NIGHT/NGT_0001.JPG"])
    assert ours == pytest.approx(told["LightValue"], abs=1e-6)
    assert ours == pytest.approx(at_100, abs=5e-4)


@pytest.mark.source(
    "law", "Ev = Bv + Sv: a stop of speed, time or aperture is one value, whichever is turned (APEX)"
)
def test_the_sample_cameras_full_scale_moves_by_one_stop_with_each_setting():
    usual = Camera(f_number=8.0, exposure_s=1 / 128, iso=400.0)
    for other in (
        Camera(f_number=8.0 * math.sqrt(2), exposure_s=1 / 128, iso=400.0),
        Camera(f_number=8.0, exposure_s=1 / 256, iso=400.0),
        Camera(f_number=8.0, exposure_s=1 / 128, iso=200.0),
    ):
        assert math.log2(other.full_scale_lux / usual.full_scale_lux) == pytest.approx(1.0, abs=1e-9)
