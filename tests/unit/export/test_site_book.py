import json
from datetime import timedelta

from tests.factories_sites import at_site, make_fault, make_night
from triage.export.site_account import NOTHING_KEPT, sites_account
from triage.export.site_book import named, site_books
from triage.export.site_json import sites_json
from triage.records.decision import Verdict
from triage.records.diagnosis import FaultKind, Part

APART = timedelta(minutes=30)
DIED = make_fault(Part.FLASH_LEFT, FaultKind.STOPPED)
CLOCK = make_fault(Part.CLOCK, FaultKind.RESET)


def books(nights, verdicts=None):
    return site_books(nights, verdicts or {}, apart=APART)


def test_nights_are_put_together_by_site_whatever_the_capitals():
    found = books([make_night(0), make_night(1, site="Mill"), at_site(make_night(2), "old oak")])
    assert [(book.site, len(book.nights)) for book in found] == [("Mill", 1), ("old oak", 2)]
    assert named(found, " OLD  oak ")[0].site == "old oak"
    assert named(found, "nowhere") == ()


def test_keepers_are_those_of_now():
    night = make_night(0)
    (book,) = books([night], {night.keys[0]: Verdict.KEEP, night.keys[1]: Verdict.REJECT})
    assert book.kept == {night.digest: 1}


def test_visits_less_than_half_an_hour_apart_count_once():
    (book,) = books([make_night(0, at_h=(1.0, 1.2, 3.0)), make_night(1, at_h=(2.0,))])
    assert [round(time, 2) for time in book.activity.times] == [19.0, 21.0, 20.0]


def test_a_night_with_a_wrong_clock_is_on_record_but_not_in_the_times():
    (book,) = books([make_night(0, at_h=(1.0,)), make_night(1, at_h=(5.0,), faults=[CLOCK])])
    assert len(book.activity.times) == 1
    assert [night.digest for night in book.left_out] == [book.nights[1].digest]
    assert "Left out, since the clock was likely wrong: 2026-10-04." in sites_account([book])


def test_losses_name_their_nights_the_most_frequent_first():
    doubt = make_fault(Part.LENS, FaultKind.FOGGED, confidence=0.3)
    (book,) = books([make_night(0, faults=[CLOCK, DIED]), make_night(1, faults=[DIED, doubt]), make_night(2)])
    assert [(loss.part, len(loss.nights)) for loss in book.losses] == [(Part.FLASH_LEFT, 2), (Part.CLOCK, 1)]
    said = sites_account([book])
    assert "Left flash stopped: 2 of 3 nights (2026-10-03, 2026-10-04)" in said
    assert "Nothing likely failed on 1 of 3 nights." in said


def test_the_account_of_many_nights_has_a_curve_and_of_few_says_what_is_missing():
    many = [make_night(day, at_h=(3.0 + 0.1 * day, 9.0)) for day in range(12)]
    said = sites_account(books(many))
    assert "24 visits more than 30 minutes apart." in said
    assert "Circular mean" in said
    assert "█" in said
    few = sites_account(books(many[:1]))
    assert "Too few to tell" in few
    assert "A curve is drawn from 10 visits on." in few
    assert "No visit is on record." in sites_account(books([make_night(0)]))


def test_cells_are_told_as_far_as_the_record_goes():
    first = [make_night(0, fired=100, fresh=True), make_night(1, fired=90, faults=[DIED])]
    assert "taken for the end of its cells" in sites_account(books(first))
    said = sites_account(books([*first, make_night(2, fired=50)]))
    assert (
        "About 140 fires left, 2 nights at 80 fires a night, by 1 set before; one set tells no interval"
        in said
    )
    again = [
        make_night(3, fired=110, fresh=True),
        make_night(4, fired=70, faults=[DIED]),
        make_night(5, fired=10),
    ]
    assert "nineteen times in twenty between" in sites_account(books([*first, *again]))
    assert "Say when cells are fresh" in sites_account(books([make_night(0)]))


def test_nothing_on_record_is_said():
    assert sites_account([]) == NOTHING_KEPT


def test_the_json_holds_what_the_account_rests_on_and_nothing_that_is_no_number():
    nights = [make_night(day, at_h=(3.0, 9.0), faults=[DIED] if day == 4 else []) for day in range(8)]
    told = json.loads(sites_json(books(nights)))
    assert (told["format"], told["version"]) == ("triage-sites", 1)
    (site,) = told["sites"]
    assert len(site["nights"]) == 8
    assert site["nights"][4]["faults"][0]["component"] == "flash-left"
    assert site["activity"]["visits"] == 16
    assert len(site["activity"]["density_per_h"]) == 96
    assert site["activity"]["watched_h"][:6] == [8.0] * 6
    assert site["activity"]["watched_h"][6:18] == [0.0] * 12
    assert site["lost"] == [
        {"component": "flash-left", "fault": "stopped", "nights": ["2026-10-07T18:00:00"]}
    ]
    assert site["cells"][0]["sets"][-1]["fires"] == 120
    assert sites_json(books(nights)) == sites_json(books(nights))


def test_cells_past_what_sets_before_gave_are_to_be_changed():
    nights = [make_night(0, fired=90, fresh=True, faults=[DIED]), make_night(1, fired=120)]
    assert "Past what 1 set before gave: change these now" in sites_account(books(nights))
