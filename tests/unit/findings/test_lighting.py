import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from triage.findings import thresholds as limit
from triage.findings.lighting import dark_finding, dim_finding, given_light, half_lit_finding
from triage.measure.blocks import BLACK
from triage.records.finding import FindingKind
from triage.records.measurement import Light, Measurement

LAW = settings(deadline=None, max_examples=40)

POWER = st.floats(0.0, 2.0)


def lit(left=1.0, right=1.0, *, ambient=0.0, level=0.15, **more):
    """Return a measurement of a frame that got so much light; None leaves a flash out."""
    flashes = {
        name: value for name, value in (("flash-left", left), ("flash-right", right)) if value is not None
    }
    return Measurement(Light(ambient, flashes | more, level), None, 0.0, 0.0)


def said(measurement):
    found = (dark_finding(measurement), half_lit_finding(measurement), dim_finding(measurement))
    return [finding.kind for finding in found if finding is not None]


def test_a_healthy_frame_has_nothing_said_of_its_light():
    assert said(lit()) == []


def test_a_frame_without_any_light_is_dark():
    assert said(lit(0.0, 0.0, level=0.0)) == [FindingKind.DARK]


@pytest.mark.parametrize(("share", "dark"), [(limit.DARK_SHARE - 1e-3, True), (limit.DARK_SHARE, False)])
def test_dark_begins_below_its_share_of_healthy_light(share, dark):
    assert (dark_finding(lit(share, share)) is not None) == dark


@pytest.mark.parametrize(("level", "dark"), [(BLACK - 1e-4, True), (BLACK, False)])
def test_a_frame_that_shows_next_to_nothing_is_dark_whatever_lit_it(level, dark):
    assert (dark_finding(lit(level=level)) is not None) == dark


def test_ambient_light_keeps_a_frame_from_being_dark():
    assert dark_finding(lit(0.0, 0.0, ambient=0.5)) is None


@pytest.mark.parametrize(
    ("left", "right", "words"),
    [
        (1.0, 0.0, "right flash gave 0\u00a0%"),
        (0.02, 0.9, "left flash gave 2\u00a0%"),
        (0.5, 0.1, "right flash gave 10\u00a0%"),
    ],
)
def test_one_flash_lost_is_half_lit_and_named(left, right, words):
    measurement = lit(left, right)
    assert said(measurement)[0] == FindingKind.HALF_LIT
    assert words in half_lit_finding(measurement).why


@pytest.mark.parametrize(
    ("left", "right"),
    [
        pytest.param(1.0, limit.HALF_MISSING + 0.01, id="the weak one still gave something"),
        pytest.param(limit.HALF_PRESENT - 0.01, 0.0, id="neither fired properly"),
        pytest.param(0.4, 0.2, id="they gave nearly alike"),
        pytest.param(1.0, None, id="there is one flash only"),
        pytest.param(None, None, id="no flash is known"),
    ],
)
def test_other_frames_are_not_half_lit(left, right):
    assert half_lit_finding(lit(left, right)) is None


def test_the_bounds_of_half_lit_are_as_written():
    assert half_lit_finding(lit(1.0, limit.HALF_MISSING)) is not None
    assert half_lit_finding(lit(limit.HALF_PRESENT, 0.0)) is not None
    assert half_lit_finding(lit(1.0, limit.HALF_MISSING + 0.01)) is None
    assert half_lit_finding(lit(limit.HALF_PRESENT, limit.HALF_PRESENT * limit.HALF_CONTRAST)) is not None
    assert half_lit_finding(lit(limit.HALF_PRESENT, limit.HALF_PRESENT * limit.HALF_CONTRAST + 0.01)) is None


def test_a_third_flash_that_is_lost_is_named():
    finding = half_lit_finding(lit(1.0, 1.0, **{"flash-3": 0.0}))
    assert "third flash gave 0\u00a0%" in finding.why


@pytest.mark.parametrize("value", [None, 0.0, 0.3])
def test_a_flash_that_cannot_be_told_is_left_out(value):
    flashes = {"flash-left": 1.0, "flash-right": None}
    measurement = Measurement(Light(value, flashes, 0.15), None, 0.0, 0.0)
    assert said(measurement) == []


@pytest.mark.parametrize(
    ("share", "dim"), [(0.5, True), (limit.DIM_SHARE - 0.01, True), (limit.DIM_SHARE, False)]
)
def test_flashes_clearly_below_healthy_are_dim(share, dim):
    assert (said(lit(share, share)) == [FindingKind.DIM]) == dim


def test_dim_is_said_in_stops():
    # Half the light is one stop under, an eighth is three (guide-number arithmetic).
    assert "1.0 stops under" in dim_finding(lit(0.5, 0.5)).why
    assert "3.0 stops under" in dim_finding(lit(0.125, 0.125)).why


def test_one_weak_flash_beside_a_healthy_one_is_not_dim():
    assert dim_finding(lit(1.0, 0.5)) is None


@pytest.mark.parametrize(("left", "right"), [(1.0, 0.0), (0.3, 0.3), (0.0, 0.0)])
def test_by_daylight_no_flash_matters(left, right):
    assert said(lit(left, right, ambient=limit.FLASH_MATTERS + 0.01)) == []


@pytest.mark.parametrize(
    ("left", "right", "kind"), [(1.0, 0.0, FindingKind.HALF_LIT), (0.3, 0.3, FindingKind.DIM)]
)
def test_in_little_ambient_light_flash_still_matters(left, right, kind):
    assert said(lit(left, right, ambient=limit.FLASH_MATTERS)) == [kind]


@LAW
@given(POWER, POWER, st.floats(0.0, 2.0), st.floats(BLACK, 0.5))
def test_at_most_one_thing_is_said_of_the_light_of_a_frame_that_shows_anything(left, right, ambient, level):
    assert len(said(lit(left, right, ambient=ambient, level=level))) <= 1


@LAW
@given(POWER, POWER, st.floats(0.0, 2.0), st.floats(0.0, 0.5))
def test_dim_is_never_said_beside_dark_or_half_lit(left, right, ambient, level):
    found = said(lit(left, right, ambient=ambient, level=level))
    assert FindingKind.DIM not in found or found == [FindingKind.DIM]


@LAW
@given(POWER, POWER)
def test_left_and_right_are_judged_alike(left, right):
    assert said(lit(left, right)) == said(lit(right, left))


@LAW
@given(POWER, POWER, st.floats(0.0, 2.0))
def test_every_confidence_is_at_least_a_half_and_never_certain(left, right, ambient):
    measurement = lit(left, right, ambient=ambient)
    for finding in (dark_finding(measurement), half_lit_finding(measurement), dim_finding(measurement)):
        if finding is not None:
            assert 0.5 <= finding.confidence <= 0.99


@LAW
@given(st.floats(0.0, limit.DIM_SHARE, exclude_max=True), st.floats(0.0, limit.DIM_SHARE, exclude_max=True))
def test_the_further_below_its_bound_the_surer(one, other):
    weak, strong = sorted((one, other))
    for judge in (dark_finding, dim_finding):
        first, second = judge(lit(weak, weak)), judge(lit(strong, strong))
        if first is not None and second is not None:
            assert first.confidence >= second.confidence


@LAW
@given(POWER, POWER, POWER)
def test_more_ambient_light_is_more_light(left, right, ambient):
    assert given_light(lit(left, right, ambient=ambient).light) >= given_light(lit(left, right).light)


def test_the_light_given_is_the_mean_of_the_flashes_and_the_ambient_light():
    assert given_light(lit(1.0, 0.5, ambient=0.2).light) == pytest.approx(0.95)
    assert given_light(lit(None, None, ambient=0.3).light) == pytest.approx(0.3)
    assert given_light(Light(None, {"flash-left": None, "flash-right": 0.4}, 0.1)) == pytest.approx(0.4)
