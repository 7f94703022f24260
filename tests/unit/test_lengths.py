import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from triage.records.lengths import in_other_units


@pytest.mark.parametrize(
    ("note", "said"),
    [
        ("track 2⅜ \u00d7 1⅞ in.", ("6.0 by 4.8 cm",)),
        ("2 3/8 by 1 7/8 in", ("6.0 by 4.8 cm",)),
        ("half an inch, ½ inch", ("1.3 cm",)),
        ("stride 31 cm, den 12 m away", ("12.2 in", "39.4 ft")),
        ("fork 6,5 x 4 cm", ("2.6 by 1.6 in",)),
        ("moved it back 3 feet", ("0.9 m",)),
        ('a 10" board', ("25.4 cm",)),
        ("a 10\u2033 board, 6\u2032 long", ("25.4 cm", "1.8 m")),
        ("12 mm of rain", ("0.5 in",)),
        ("4 cm and again 4 cm", ("1.6 in",)),
    ],
)
def test_lengths_are_given_in_the_other_units(note, said):
    assert in_other_units(note) == said


@pytest.mark.parametrize(
    "note",
    [
        "",
        "at 5 in the morning",
        "3 in all",
        "10 min later",
        "at 4 am",
        "f/5.6 1/160 s",
        "12:30",
        "2 foxes",
        "4 mmol",
    ],
)
def test_what_is_no_length_is_left_alone(note):
    assert in_other_units(note) == ()


def test_a_fraction_of_nothing_breaks_nothing():
    assert in_other_units("3/0 inches") == ("0.0 cm",)


@settings(deadline=None)
@given(st.text(max_size=60))
def test_no_text_breaks_it(note):
    in_other_units(note)


@settings(deadline=None)
@given(st.integers(1, 5000))
def test_there_and_back_is_the_same_to_a_rounding(millimetres):
    (inches,) = in_other_units(f"{millimetres} mm")
    (back,) = in_other_units(f"{inches}ches")
    assert float(back.split()[0]) == pytest.approx(millimetres / 10, abs=0.05 * 2.54 + 0.06)
