"""The first night: a dry, gusty October night in a beech wood; the right flash gives up shortly after two."""

from dataclasses import replace
from datetime import datetime

from sample_cards import people
from sample_cards.animals.pose import Pose
from sample_cards.night import Guest, Night, Shot, TrueFault
from sample_cards.story import animal, burst, crossing, hand, path_depth, person
from sample_cards.woodland import SITE

NOBODY: tuple[Guest, ...] = ()
LEFT_ONLY = (1.0, 0.0)


def at(clock: str) -> datetime:
    """Return a time of the camera's clock: evening hours on the 3rd, the rest on the 4th of October 2026."""
    hour = int(clock[:2])
    return datetime.fromisoformat(f"2026-10-{3 if hour > 12 else 4:02d}T{clock}")


def _setting_up() -> list[Shot]:
    """Show the operator in the light of the late afternoon, flashes off at first, then tried."""
    told = [
        ("17:31:12.480", person(people.standing(), x=0.35, z=3.3, yaw=200), (0.0, 0.0)),
        ("17:33:40.120", person(people.crouching(), x=-0.5, z=3.0, yaw=20), (0.0, 0.0)),
        ("17:38:05.910", hand(x=0.07, z=0.34, y=0.60, yaw=150), (0.0, 0.0)),
        ("17:44:51.060", person(people.standing(0.45), x=-1.2, z=4.6, yaw=8), (0.98, 1.01)),
        ("17:44:51.930", person(people.standing(-0.4), x=-0.1, z=4.6, yaw=8), (0.95, 0.96)),
        ("17:52:10.350", person(people.bending(), x=-0.9, z=2.6, yaw=165), (0.0, 0.0)),
        ("17:58:33.700", person(people.crouching(0.1), x=0.3, z=4.3, yaw=195), (1.0, 0.99)),
        ("17:58:34.610", person(people.crouching(), x=0.35, z=4.3, yaw=190), (0.97, 0.95)),
        ("18:05:20.220", hand(x=-0.05, z=0.42, y=0.57, yaw=25), (0.99, 1.0)),
        ("18:06:02.880", person(people.standing(0.4), x=0.6, z=6.2, yaw=75), (1.01, 1.0)),
    ]
    return [Shot(at(clock), (guest,), powers, 0.35, 0.35, setup=True) for clock, guest, powers in told]


def _evening() -> list[Shot]:
    """Before midnight: mouse, fox, a badger that stays, and one trip at which no flash answered."""
    nosing = Pose(0.1, 0.3, -0.5)
    shots = burst(at("18:52:41.300"), [NOBODY, NOBODY], wind=0.75)
    shots += burst(at("19:41:07.650"), [NOBODY, NOBODY], wind=0.6)
    shots += burst(at("20:24:19.240"), crossing("wood mouse", (-0.15, 0.12), depth=-1.35))
    shots += burst(at("20:58:30.510"), crossing("fox", (-0.95, -0.05, 0.85)), wind=0.25)
    shots += burst(at("21:37:55.020"), [NOBODY, NOBODY], wind=0.7)
    shots += burst(at("22:05:10.770"), crossing("badger", (1.15, 0.75, 0.4), leftwards=True, pose=nosing))
    shots += burst(at("22:06:48.150"), [
        (animal("badger", Pose(0.3, 0.3, -0.9, 0.3), x=0.15, z=3.85, yaw=215),),
        (animal("badger", Pose(0.4, 0.2, -1.0, 0.2), x=0.12, z=3.83, yaw=218),),
    ])  # fmt: skip
    shots += burst(at("22:08:20.940"), [
        (animal("badger", Pose(0.3, 0.2, -0.7, -0.4), x=-0.2, z=3.9, yaw=-38),),
        (animal("badger", Pose(0.5, 0.3, -0.3, -0.6), x=-0.15, z=3.88, yaw=-42),),
        (animal("badger", Pose(0.7, 0.6, 0.1, -0.2), x=-0.05, z=3.9, yaw=-30),),
    ])  # fmt: skip
    shots += burst(
        at("22:10:55.430"), crossing("badger", (-0.75, -1.05), leftwards=True, pose=Pose(0.2, 1.0))
    )
    unseen = crossing("roe deer", (-0.4, 0.0, 0.4), depth=0.2)
    shots += burst(at("23:18:26.080"), unseen, powers=(0.0, 0.0))
    shots += burst(at("23:40:12.590"), [NOBODY, NOBODY], wind=0.55)
    return shots


def _small_hours() -> list[Shot]:
    """After midnight: hedgehog, a doe cut by the border, hedgehog and fox within 70 s; then the right flash dies."""
    shots = burst(
        at("00:12:05.330"), crossing("hedgehog", (0.25, 0.20, 0.13), leftwards=True, depth=-0.95, turn=18)
    )
    shots += burst(at("00:47:38.860"), [
        (animal("roe deer", Pose(0.1, 0.8, -0.2), x=-1.85, z=4.3, yaw=6),),
        (animal("roe deer", Pose(0.4, 0.4, 0.0, 0.5), x=-1.70, z=4.3, yaw=4),),
        (animal("roe deer", Pose(0.6, 0.3, 0.1, -0.3), x=-1.66, z=4.3, yaw=4),),
    ])  # fmt: skip
    shots += burst(at("01:15:44.210"), [NOBODY, NOBODY], wind=0.85)
    shots += burst(at("01:46:20.680"), crossing("hedgehog", (-0.35, -0.30), depth=-0.7, turn=-15))
    shots += burst(
        at("01:47:30.190"), crossing("fox", (0.9, 0.25, -0.4), leftwards=True, pose=Pose(0.3, 0.9, -0.2))
    )
    shots += burst(at("02:11:37.450"), [NOBODY, NOBODY], powers=LEFT_ONLY, wind=0.9)
    shots += burst(at("02:31:02.810"), [NOBODY, NOBODY], powers=LEFT_ONLY, wind=1.0)
    shots += burst(at("02:52:58.170"), [NOBODY, NOBODY], powers=LEFT_ONLY, wind=0.8)
    shots += burst(at("03:20:16.560"), [
        (animal("tawny owl", Pose(turn=0.1, stride=0.0), x=0.35, z=path_depth(0.35) - 0.45, yaw=-118),),
        (animal("tawny owl", Pose(turn=0.5, stride=0.0), x=0.35, z=path_depth(0.35) - 0.45, yaw=-118),),
        (animal("tawny owl", Pose(turn=-0.3, stride=0.0), x=0.34, z=path_depth(0.35) - 0.44, yaw=-112),),
    ], powers=LEFT_ONLY)  # fmt: skip
    shots += burst(at("03:58:49.920"), [NOBODY, NOBODY], powers=LEFT_ONLY, wind=0.6)
    return shots


def _towards_morning() -> list[Shot]:
    """Half-lit visits, a power dip that spoils a file, and the operator again."""
    shots = burst(
        at("04:27:33.280"), crossing("fox", (-0.8, 0.05, 0.8), pose=Pose(0.6, 1.0, -0.1)), powers=LEFT_ONLY
    )
    dip = burst(at("05:03:11.740"), [NOBODY, NOBODY, NOBODY], powers=LEFT_ONLY, wind=0.5)
    shots += [dip[0], replace(dip[1], keeps=0.46), dip[2]]
    shots += burst(
        at("05:40:27.130"), crossing("badger", (-0.55, -0.15, 0.2), pose=Pose(0.5, 0.9)), powers=LEFT_ONLY
    )
    shots += burst(at("06:20:53.370"), [NOBODY, NOBODY], powers=LEFT_ONLY, wind=0.45)
    shots += burst(at("07:02:08.990"), [NOBODY, NOBODY], powers=LEFT_ONLY, wind=0.4)
    told = [
        ("07:46:14.070", person(people.standing(0.4), x=1.2, z=5.0, yaw=190)),
        ("07:46:14.950", person(people.standing(-0.35), x=0.55, z=4.6, yaw=195)),
        ("07:47:30.410", person(people.bending(), x=-0.7, z=2.9, yaw=20)),
        ("07:49:02.660", person(people.crouching(), x=0.45, z=2.4, yaw=205)),
        ("07:49:58.120", hand(x=0.06, z=0.36, y=0.60, yaw=150)),
    ]
    shots += [Shot(at(clock), (guest,), (0.99, 0.0), 0.3, 0.4, setup=True) for clock, guest in told]
    return shots


def shots() -> list[Shot]:
    """Tell the night."""
    return [*_setting_up(), *_evening(), *_small_hours(), *_towards_morning()]


FIRST = Night(
    name="first",
    site=SITE,
    size=(1200, 800),
    quality=80,
    seed=20261003,
    first_exposure=1,
    setup_windows=((at("17:31:12"), at("18:06:03")), (at("07:46:14"), at("07:49:59"))),
    faults=(
        TrueFault("flash-right", "stopped", at("02:11:37.450")),
        TrueFault("flash-link", "misfires", at("23:18:26.080"), at("23:18:27.900"), minor=True),
        TrueFault("card", "damaged-files", at("05:03:12.540"), at("05:03:12.640"), minor=True),
        TrueFault("trigger", "false-fires", at("18:52:41.300"), minor=True),
    ),
    shots=shots,
)
"""The night of the demonstration."""
