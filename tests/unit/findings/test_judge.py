from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.factories import EVENING, make_frame
from triage.findings import thresholds as limit
from triage.findings.judge import is_unsure, judge, judge_frames
from triage.records.finding import Finding, FindingKind
from triage.records.measurement import Box, Light, Measurement, Side, Subject
from triage.records.night import SetupSource, Window

LAW = settings(deadline=None, max_examples=40)

Kind = FindingKind
FRAME = make_frame(0)
SETUP = Finding(Kind.SETUP, 0.9, "in a setup window")
HEALTHY = {"flash-left": 1.0, "flash-right": 1.0}
DARK = {"flash-left": 0.0, "flash-right": 0.0}


def measured(presence=0.97, *, flashes=None, cut_by=(), **more):
    """Return a healthily lit frame with a subject of such presence, fields replaced."""
    subject = Subject(Box(0.4, 0.5, 0.6, 0.8), presence, tuple(cut_by))
    flashes = HEALTHY if flashes is None else flashes
    fields = {"light": Light(0.0, flashes, 0.15), "subject": subject, "presence": presence, "blind": 0.0}
    return Measurement(**(fields | more))


def kinds(measurement, **how):
    return [finding.kind for finding in judge(FRAME, measurement, **how).findings]


def share(highest=1.0):
    return st.floats(0.0, highest)


SIDES = st.lists(st.sampled_from(list(Side)), unique=True, max_size=2)

MEASUREMENTS = st.builds(
    lambda numbers, flashes, subject, cut_by: Measurement(
        light=Light(numbers[0], flashes, numbers[1]),
        subject=Subject(Box(0.1, 0.2, 0.3, 0.4), numbers[2], tuple(cut_by)) if subject else None,
        presence=numbers[2],
        blind=numbers[3],
        subject_sharpness=numbers[4],
        scene_sharpness=numbers[5],
        clipped=numbers[6] or 0.0,
        haze=numbers[7],
    ),
    st.tuples(
        st.one_of(st.none(), share(2.0)),
        share(),
        st.floats(0.005, 0.995),
        share(),
        st.one_of(st.none(), share(2.0)),
        st.one_of(st.none(), share(2.0)),
        share(),
        st.one_of(st.none(), share()),
    ),
    st.dictionaries(
        st.sampled_from(["flash-left", "flash-right", "flash-3"]),
        st.one_of(st.none(), share(2.0)),
        max_size=3,
    ),
    st.booleans(),
    SIDES,
)


def test_a_healthy_frame_with_an_animal_has_no_finding():
    judgement = judge(FRAME, measured())
    assert judgement.findings == ()
    assert not judgement.unsure


def test_a_damaged_file_is_damaged_and_nothing_else():
    judgement = judge(make_frame(3, problem="NGT_0004.JPG ends early"), None)
    assert [finding.kind for finding in judgement.findings] == [Kind.DAMAGED]
    assert judgement.findings[0].why == "NGT_0004.JPG ends early"
    assert judgement.index == 3
    assert judgement.measurement is None
    assert not judgement.unsure


def test_a_damaged_file_without_a_reason_still_gets_words():
    assert judge(FRAME, None).findings[0].why


def test_a_sound_file_is_not_damaged():
    assert Kind.DAMAGED not in kinds(measured())


def test_a_damaged_setup_frame_is_both():
    assert [finding.kind for finding in judge(FRAME, None, setup=SETUP).findings] == [
        Kind.DAMAGED,
        Kind.SETUP,
    ]


@pytest.mark.parametrize(
    ("presence", "empty", "unsure"),
    [
        (0.005, True, False),
        (limit.EMPTY_BELOW - 1e-3, True, False),
        (limit.EMPTY_BELOW, False, True),
        (limit.LIKELY - 1e-3, False, True),
        (limit.LIKELY, False, False),
        (0.995, False, False),
    ],
)
def test_presence_decides_between_empty_unsure_and_there(presence, empty, unsure):
    judgement = judge(FRAME, measured(presence))
    assert judgement.has(Kind.EMPTY) == empty
    assert judgement.unsure == unsure


@pytest.mark.parametrize(("blind", "empty"), [(limit.BLIND_FROM - 1e-3, True), (limit.BLIND_FROM, False)])
def test_absence_is_not_claimed_of_a_frame_in_which_nobody_would_be_seen(blind, empty):
    judgement = judge(FRAME, measured(0.01, subject=None, blind=blind))
    assert judgement.has(Kind.EMPTY) == empty
    assert judgement.unsure == (not empty)


def test_what_is_clearly_there_is_sure_even_in_fog():
    assert not is_unsure(measured(0.9, blind=1.0))


def test_an_empty_frame_is_surer_the_less_likely_a_subject_is():
    confidences = [judge(FRAME, measured(each)).findings[0].confidence for each in (0.01, 0.1, 0.14)]
    assert confidences == [0.99, 0.9, 0.86]


@pytest.mark.parametrize("side", list(Side))
def test_a_subject_cut_by_a_border_is_edge_and_the_border_is_named(side):
    judgement = judge(FRAME, measured(cut_by=[side]))
    assert [finding.kind for finding in judgement.findings] == [Kind.EDGE]
    assert f"the {side.value} border" in judgement.findings[0].why


def test_two_borders_are_both_named():
    why = judge(FRAME, measured(cut_by=[Side.LEFT, Side.BOTTOM])).findings[0].why
    assert "left and the bottom border" in why


@pytest.mark.parametrize("presence", [0.01, limit.LIKELY - 0.01])
def test_a_doubtful_subject_at_the_border_is_no_edge(presence):
    assert Kind.EDGE not in kinds(measured(presence, cut_by=[Side.LEFT]))


def test_presence_without_a_region_is_no_edge():
    assert kinds(measured(0.9, subject=None)) == []


@pytest.mark.parametrize(("sharpness", "soft"), [(limit.SOFT_SCENE - 0.01, True), (limit.SOFT_SCENE, False)])
def test_a_scene_without_its_fine_detail_is_soft(sharpness, soft):
    assert (kinds(measured(scene_sharpness=sharpness)) == [Kind.SOFT]) == soft


@pytest.mark.parametrize(
    ("sharpness", "soft"), [(limit.SOFT_SUBJECT - 0.01, True), (limit.SOFT_SUBJECT, False)]
)
def test_a_smeared_subject_in_a_sharp_scene_is_soft(sharpness, soft):
    found = kinds(measured(scene_sharpness=1.0, subject_sharpness=sharpness))
    assert (found == [Kind.SOFT]) == soft


def test_a_frame_is_soft_once_only():
    assert kinds(measured(scene_sharpness=0.1, subject_sharpness=0.1)) == [Kind.SOFT]


def test_sharpness_that_cannot_be_told_is_not_soft():
    assert kinds(measured(scene_sharpness=None, subject_sharpness=None)) == []


@pytest.mark.parametrize(
    ("clipped", "said"), [(limit.CLIPPED_SHARE - 0.01, False), (limit.CLIPPED_SHARE, True)]
)
def test_a_burnt_out_subject_is_clipped(clipped, said):
    assert (kinds(measured(clipped=clipped)) == [Kind.CLIPPED]) == said


def test_a_burnt_sky_without_a_subject_is_not_clipped():
    assert Kind.CLIPPED not in kinds(measured(0.01, subject=None, clipped=0.9))


@pytest.mark.parametrize(
    ("haze", "fogged"),
    [(None, False), (0.1, False), (limit.FOGGED_HAZE - 0.01, False), (limit.FOGGED_HAZE, True)],
)
def test_a_scene_that_lost_its_contrast_is_fogged(haze, fogged):
    assert (kinds(measured(haze=haze)) == [Kind.FOGGED]) == fogged


def test_thicker_fog_is_surer():
    confidences = [judge(FRAME, measured(haze=haze)).findings[0].confidence for haze in (0.5, 0.7, 0.9)]
    assert confidences == sorted(confidences)


@pytest.mark.parametrize(
    ("flashes", "kind"),
    [
        (DARK, Kind.DARK),
        ({"flash-left": 1.0, "flash-right": 0.0}, Kind.HALF_LIT),
        ({"flash-left": 0.4, "flash-right": 0.4}, Kind.DIM),
    ],
)
def test_the_light_is_said_first(flashes, kind):
    assert kinds(measured(flashes=flashes, cut_by=[Side.TOP]))[0] == kind


def test_a_half_lit_frame_may_be_empty_too():
    found = kinds(measured(0.01, flashes={"flash-left": 1.0, "flash-right": 0.0}))
    assert found == [Kind.HALF_LIT, Kind.EMPTY]


def test_a_dark_frame_says_nothing_of_who_was_there():
    for presence in (0.01, 0.4, 0.99):
        judgement = judge(FRAME, measured(presence, flashes=DARK, cut_by=[Side.LEFT], clipped=1.0, haze=0.9))
        assert [finding.kind for finding in judgement.findings] == [Kind.DARK]
        assert not judgement.unsure


@pytest.mark.parametrize("presence", [0.01, 0.4, 0.99])
def test_a_setup_frame_is_no_empty_edge_soft_or_doubtful_one(presence):
    measurement = measured(presence, cut_by=[Side.LEFT], scene_sharpness=0.1, clipped=1.0, haze=0.9)
    judgement = judge(FRAME, measurement, setup=SETUP)
    assert judgement.findings == (SETUP,)
    assert not judgement.unsure


def test_setup_comes_before_the_light():
    assert kinds(measured(flashes=DARK), setup=SETUP) == [Kind.SETUP, Kind.DARK]


@LAW
@given(MEASUREMENTS, st.booleans())
def test_a_frame_is_never_dark_and_empty_together(measurement, setup):
    found = kinds(measurement, setup=SETUP if setup else None)
    assert not {Kind.DARK, Kind.EMPTY} <= set(found)


@LAW
@given(MEASUREMENTS, st.booleans())
def test_nothing_is_said_twice(measurement, setup):
    found = kinds(measurement, setup=SETUP if setup else None)
    assert len(found) == len(set(found))


@LAW
@given(MEASUREMENTS)
def test_a_frame_is_never_empty_and_unsure_or_empty_and_edge(measurement):
    judgement = judge(FRAME, measurement)
    if judgement.has(Kind.EMPTY):
        assert not judgement.unsure
        assert not judgement.has(Kind.EDGE)


@LAW
@given(MEASUREMENTS)
def test_a_frame_that_is_not_dark_is_seen_empty_or_doubtful(measurement):
    judgement = judge(FRAME, measurement)
    states = (judgement.has(Kind.EMPTY), judgement.unsure, measurement.presence >= limit.LIKELY)
    assert judgement.has(Kind.DARK) or sum(states) == 1


@LAW
@given(MEASUREMENTS, st.booleans())
def test_every_finding_has_a_confidence_and_words(measurement, setup):
    for finding in judge(FRAME, measurement, setup=SETUP if setup else None).findings:
        assert 0.0 < finding.confidence < 1.0
        assert finding.why


@LAW
@given(MEASUREMENTS)
def test_every_finding_made_here_says_its_figures(measurement):
    for finding in judge(FRAME, measurement).findings:
        assert any(letter.isdigit() for letter in finding.why)


def windowed(frames, windows, source=SetupSource.GIVEN):
    return judge_frames(frames, [measured() for _ in frames], windows, source)


def test_frames_in_a_setup_window_are_setup_its_ends_included():
    frames = [make_frame(minute) for minute in range(5)]
    window = Window(EVENING + timedelta(minutes=1), EVENING + timedelta(minutes=3))
    assert [judgement.has(Kind.SETUP) for judgement in windowed(frames, [window])] == [
        False,
        True,
        True,
        True,
        False,
    ]


def test_a_frame_in_two_windows_is_setup_once():
    window = Window(EVENING, EVENING)
    assert [finding.kind for finding in windowed([FRAME], [window, window])[0].findings] == [Kind.SETUP]


def test_a_window_given_is_surer_than_one_worked_out():
    window = [Window(EVENING, EVENING)]
    given, worked_out = (
        windowed([FRAME], window, source)[0].findings[0]
        for source in (SetupSource.GIVEN, SetupSource.WORKED_OUT)
    )
    assert given.confidence > worked_out.confidence
    assert "you gave" in given.why
    assert "worked out" in worked_out.why


def test_every_frame_gets_one_judgement_in_order():
    frames = [make_frame(index) for index in range(4)]
    measurements = [measured(), None, measured(0.01), None]
    judgements = judge_frames(frames, measurements, (), SetupSource.WORKED_OUT)
    assert [judgement.index for judgement in judgements] == [0, 1, 2, 3]
    assert [judgement.has(Kind.DAMAGED) for judgement in judgements] == [False, True, False, True]


def test_no_frames_are_no_judgements():
    assert judge_frames([], [], (), SetupSource.GIVEN) == ()


def test_a_missing_measurement_list_is_a_mistake():
    with pytest.raises(ValueError, match="shorter"):
        judge_frames([FRAME], [], (), SetupSource.GIVEN)
