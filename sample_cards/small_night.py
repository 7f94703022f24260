"""A short night in small pictures, for checks that need a card quickly: the left flash dies half-way."""

from datetime import datetime

from sample_cards import people
from sample_cards.animals.pose import Pose
from sample_cards.night import Guest, Night, Shot, TrueFault
from sample_cards.story import animal, burst, crossing, person
from sample_cards.woodland import SITE

NOBODY: tuple[Guest, ...] = ()
RIGHT_ONLY = (0.0, 1.0)


def at(clock: str) -> datetime:
    """Return a time of the camera's clock in the night to the 4th of October 2026."""
    return datetime.fromisoformat(f"2026-10-{3 if int(clock[:2]) > 12 else 4:02d}T{clock}")


def shots() -> list[Shot]:
    """Tell the night in twenty frames."""
    told = [
        Shot(at("17:40:02.100"), (person(people.standing(), x=0.3, z=3.4, yaw=200),), (0.0, 0.0), setup=True),
        Shot(
            at("17:52:11.400"), (person(people.crouching(), x=-0.4, z=3.2, yaw=15),), (1.0, 1.0), setup=True
        ),
    ]
    told += burst(at("20:10:00.250"), [NOBODY, NOBODY])
    told += burst(at("21:02:10.500"), crossing("fox", (-0.7, 0.0, 0.7)))
    told += burst(at("22:15:45.750"), [NOBODY, NOBODY], wind=0.7)
    told += burst(at("23:30:05.000"), [(animal("roe deer", Pose(0.1, 0.5), x=-1.7, z=4.3, yaw=4),)] * 2)
    told += burst(at("01:05:30.300"), [NOBODY, NOBODY], powers=RIGHT_ONLY, wind=0.5)
    told += burst(at("02:20:15.600"), crossing("badger", (0.6, 0.2, -0.2), leftwards=True), powers=RIGHT_ONLY)
    told += burst(at("03:40:50.900"), [NOBODY, NOBODY], powers=RIGHT_ONLY)
    told += burst(at("05:12:20.200"), [NOBODY, NOBODY], powers=RIGHT_ONLY, wind=0.6)
    return told


SMALL = Night(
    name="small",
    site=SITE,
    size=(360, 240),
    quality=88,
    seed=7,
    first_exposure=9988,
    setup_windows=((at("17:40:02"), at("17:52:12")),),
    faults=(TrueFault("flash-left", "stopped", at("01:05:30.300")),),
    shots=shots,
)
"""Twenty frames that roll over from one folder to the next."""
