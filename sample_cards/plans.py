"""The nights of the catalogue in a few words each."""

from sample_cards.plan import Fault, Plan, Rig, Spell

RAIN = (Spell("rain", 0.2, 0.8, 0.5),)
POURING = (Spell("rain", 0.1, 1.0, 1.0), Spell("gusts", 0.1, 1.0, 0.3))
SNOW = (Spell("snow", 0.15, 0.9, 0.6),)
MIST = (Spell("mist", 0.3, 1.0, 0.45),)
INSECTS = (Spell("insects", 0.0, 0.7, 1.0),)
SUMMER, WINTER, SPRING = "2026-07-11T20:30", "2027-01-16T15:40", "2027-04-22T19:05"

HEALTHY = (
    Plan("woodland-calm", wind=0.08),
    Plan("woodland-gusty", wind=0.8),
    Plan("woodland-rain", weather=RAIN, cloud=1.0),
    Plan("woodland-pouring", weather=POURING, cloud=1.0),
    Plan("woodland-snowfall", start=WINTER, weather=SNOW, cloud=1.0),
    Plan("woodland-mist", weather=MIST, wind=0.05),
    Plan("woodland-summer-insects", start=SUMMER, hours=9.5, weather=INSECTS, bursts=13),
    Plan("woodland-full-moon", start="2026-10-26T16:40", cloud=0.0),
    Plan("woodland-nothing-came", visited=0.0, bursts=16),
    Plan("woodland-busy", visited=0.95, bursts=22),
    Plan("woodland-day-and-night", start=SPRING, hours=40.0, bursts=22, by_day=True),
    Plan("woodland-sunny-day", start="2026-09-05T08:00", hours=10.0, bursts=15, by_day=True, cloud=0.05),
)
"""Nothing fails."""


def _flash_alone() -> list[Plan]:
    told = [
        Plan("woodland-left-flash-stops", faults=(Fault("flash-left", "stopped", 0.5),)),
        Plan("woodland-left-flash-stops-early", faults=(Fault("flash-left", "stopped", 0.2),)),
        Plan(
            "woodland-rain-right-flash-stops", weather=RAIN, faults=(Fault("flash-right", "stopped", 0.55),)
        ),
        Plan("woodland-right-flash-stops-late", wind=0.6, faults=(Fault("flash-right", "stopped", 0.75),)),
        Plan("woodland-left-flash-fades", faults=(Fault("flash-left", "fading", 0.35),)),
        Plan("woodland-right-flash-fades-early", faults=(Fault("flash-right", "fading", 0.1),)),
        Plan("woodland-left-flash-misfires", faults=(Fault("flash-left", "misfires", 0.15),), bursts=18),
        Plan(
            "woodland-gusty-right-flash-misfires",
            wind=0.8,
            faults=(Fault("flash-right", "misfires", 0.3),),
            bursts=18,
        ),
        Plan(
            "woodland-right-flash-slow-to-wake", faults=(Fault("flash-right", "slow-wake", 0.0),), bursts=16
        ),
        Plan(
            "woodland-left-flash-slow-to-recycle",
            faults=(Fault("flash-left", "slow-recycle", 0.1),),
            bursts=16,
        ),
        Plan(
            "woodland-left-flash-out-for-a-while",
            faults=(Fault("flash-left", "stopped", 0.35, 0.65),),
            bursts=18,
        ),
    ]
    link = (
        ("stops", "stopped", 0.5), ("stops-early", "stopped", 0.22), ("stops-late", "stopped", 0.78),
        ("fades", "fading", 0.3), ("misfires", "misfires", 0.1), ("slow-to-wake", "slow-wake", 0.0),
        ("slow-to-recycle", "slow-recycle", 0.0),
    )  # fmt: skip
    told += [
        Plan(f"woodland-all-flashes-{word}", faults=(Fault("flash-link", fault, at),), bursts=16)
        for word, fault, at in link
    ]
    return told


FLASHES = tuple(_flash_alone())
"""One flash fails, or all together."""

REST = (
    Plan("woodland-false-fires-in-wind", wind=0.9, bursts=10, faults=(Fault("trigger", "false-fires", 0.3),)),
    Plan("woodland-calm-false-fires", wind=0.1, bursts=10, faults=(Fault("trigger", "false-fires", 0.5),)),
    Plan("woodland-trigger-late", visited=0.9, faults=(Fault("trigger", "late", 0.0),)),
    Plan("woodland-camera-stops-early", faults=(Fault("camera", "stopped-early", 0.45),), bursts=22),
    Plan("woodland-lens-fogs", faults=(Fault("lens", "fogged", 0.4, None, 0.85),)),
    Plan("woodland-lens-fogs-and-clears", faults=(Fault("lens", "fogged", 0.2, 0.9, 0.8),), bursts=18),
    Plan("woodland-lens-fogs-a-little", faults=(Fault("lens", "fogged", 0.5, None, 0.4),)),
    Plan("woodland-lens-frosts", start=WINTER, faults=(Fault("lens", "frosted", 0.45, None, 0.9),)),
    Plan("woodland-view-knocked", faults=(Fault("aim", "moved", 0.5, None, 5.0),)),
    Plan("woodland-view-knocked-a-little-early", faults=(Fault("aim", "moved", 0.2, None, 1.5),)),
    Plan("woodland-focus-slips", faults=(Fault("focus", "soft", 0.45, None, 0.5),)),
    Plan("woodland-soft-from-the-start", faults=(Fault("focus", "soft", 0.0, None, 0.6),)),
    Plan("woodland-clock-resets", faults=(Fault("clock", "reset", 0.4),)),
    Plan("woodland-clock-wrong-by-five-hours", faults=(Fault("clock", "wrong", 0.0, None, 5.0),)),
    Plan("woodland-clock-wrong-by-a-day", faults=(Fault("clock", "wrong", 0.0, None, -24.0),)),
    Plan("woodland-clock-wrong-by-a-year", faults=(Fault("clock", "wrong", 0.0, None, -8760.0),)),
    Plan("woodland-files-damaged", faults=(Fault("card", "damaged-files", 0.4),)),
    Plan("woodland-numbers-missing", faults=(Fault("card", "missing-numbers", 0.2),), bursts=18),
    Plan("woodland-card-full", faults=(Fault("card", "full", 0.6),), bursts=20),
)
"""Another part fails."""

PAIRS = (
    Plan("woodland-both-flashes-stop-hours-apart",
         faults=(Fault("flash-left", "stopped", 0.3), Fault("flash-right", "stopped", 0.7)), bursts=16),
    Plan("woodland-fogs-while-left-flash-fades",
         faults=(Fault("lens", "fogged", 0.3, None, 0.7), Fault("flash-left", "fading", 0.45))),
    Plan("woodland-knocked-then-right-flash-stops",
         faults=(Fault("aim", "moved", 0.3, None, 4.0), Fault("flash-right", "stopped", 0.65))),
    Plan("woodland-snowfall-link-stops", start=WINTER, weather=SNOW, faults=(Fault("flash-link", "stopped", 0.6),)),
    Plan("woodland-clock-wrong-and-left-flash-misfires",
         faults=(Fault("clock", "wrong", 0.0, None, -3.0), Fault("flash-left", "misfires", 0.2)), bursts=18),
    Plan("woodland-files-damaged-and-camera-stops", bursts=22,
         faults=(Fault("card", "damaged-files", 0.2), Fault("camera", "stopped-early", 0.6))),
    Plan("woodland-mist-focus-slips", weather=MIST, faults=(Fault("focus", "soft", 0.5, None, 0.5),)),
)  # fmt: skip
"""Two parts fail."""

ODD = (
    Plan("woodland-operator-returns", oddities=("operator-returns",)),
    Plan("woodland-operator-mends-the-left-flash", oddities=("operator-returns",),
         faults=(Fault("flash-left", "stopped", 0.2, 0.469),), bursts=16),
    Plan("woodland-passer-by", oddities=("passer-by",)),
    Plan("woodland-two-animals-a-minute-apart", oddities=("two-close-together",)),
    Plan("woodland-badger-stays", oddities=("long-stay",), bursts=10),
    Plan("woodland-card-not-wiped", oddities=("not-wiped",)),
    Plan("woodland-and-river-two-cameras", second_site="river"),
    Plan("woodland-week", start="2026-09-14T18:00", hours=168.0, bursts=38, by_day=True),
)  # fmt: skip
"""Nothing fails, but the card is odd."""

LONG = (
    Plan("woodland-two-thousand-frames", start="2026-05-02T19:30", hours=900.0, bursts=815, visited=0.4, by_day=True,
         size=(360, 240)),
)  # fmt: skip
"""Takes long to render."""

ELSEWHERE_HEALTHY = (
    Plan("snow-calm", "snow", WINTER),
    Plan("snow-snowfall", "snow", WINTER, weather=SNOW, cloud=1.0, wind=0.5),
    Plan("snow-full-moon-and-day", "snow", "2027-01-21T15:30", hours=26.0, bursts=20, cloud=0.0, by_day=True),
    Plan("rocks-gusty", "rocks", wind=0.85),
    Plan("rocks-rain", "rocks", weather=RAIN, cloud=1.0),
    Plan("farmyard-calm", "farmyard", wind=0.1),
    Plan("farmyard-summer-insects", "farmyard", SUMMER, hours=9.5, weather=INSECTS, bursts=13),
    Plan("garden-calm", "garden", wind=0.15),
    Plan("garden-day-and-night", "garden", SPRING, hours=40.0, bursts=20, by_day=True),
    Plan("river-mist", "river", weather=MIST, wind=0.1),
    Plan("river-pouring", "river", weather=POURING, cloud=1.0),
)
"""Nothing fails, at other sites."""

ELSEWHERE = (
    Plan("snow-left-flash-stops", "snow", WINTER, faults=(Fault("flash-left", "stopped", 0.5),)),
    Plan("snow-lens-frosts", "snow", WINTER, faults=(Fault("lens", "frosted", 0.4, None, 0.9),)),
    Plan("snow-snowfall-right-flash-fades", "snow", WINTER, weather=SNOW,
         faults=(Fault("flash-right", "fading", 0.3),)),
    Plan("rocks-view-knocked", "rocks", faults=(Fault("aim", "moved", 0.45, None, 4.0),)),
    Plan("rocks-all-flashes-stop", "rocks", wind=0.6, faults=(Fault("flash-link", "stopped", 0.55),)),
    Plan("rocks-false-fires", "rocks", wind=0.9, bursts=10, faults=(Fault("trigger", "false-fires", 0.35),)),
    Plan("farmyard-right-flash-slow-to-recycle", "farmyard", bursts=16,
         faults=(Fault("flash-right", "slow-recycle", 0.1),)),
    Plan("farmyard-passer-by-left-flash-misfires", "farmyard", oddities=("passer-by",), bursts=18,
         faults=(Fault("flash-left", "misfires", 0.2),)),
    Plan("garden-right-flash-stops", "garden", faults=(Fault("flash-right", "stopped", 0.45),)),
    Plan("garden-focus-slips", "garden", faults=(Fault("focus", "soft", 0.5, None, 0.5),)),
    Plan("river-lens-fogs", "river", faults=(Fault("lens", "fogged", 0.35, None, 0.8),)),
    Plan("river-rain-left-flash-fades", "river", weather=RAIN, cloud=1.0, faults=(Fault("flash-left", "fading", 0.3),)),
    Plan("river-camera-stops-early", "river", bursts=20, faults=(Fault("camera", "stopped-early", 0.5),)),
)  # fmt: skip
"""Something fails, at other sites."""

THREE, ONE, SLOW = Rig(flashes=3), Rig(flashes=1), Rig(exposure_s=1 / 15)
ON_ITS_LEFT_SIDE, ON_ITS_RIGHT_SIDE = Rig(orientation=8), Rig(orientation=6)
NEAR_AND_FAR = (1.3, 9.0, 2.2, 21.0, 1.6, 13.0)
"""Distances at which animals pass, metres: from one that fills the frame to one that is a fiftieth of it."""

OTHER_RIGS_HEALTHY = (
    Plan("woodland-three-flashes-calm", rig=THREE, wind=0.1),
    Plan("farmyard-one-flash-calm", "farmyard", rig=ONE, wind=0.1),
    Plan("garden-upright-calm", "garden", rig=ON_ITS_RIGHT_SIDE, wind=0.15),
    Plan("farmyard-automatic-iso", "farmyard", rig=Rig(iso=3200.0), by_day=True),
    Plan("woodland-dull-day-slow-shutter", start="2026-10-09T08:10", hours=9.0, cloud=0.9, bursts=16, by_day=True,
         visited=0.75, rig=SLOW),
    Plan("garden-dusk-slow-shutter", "garden", "2026-09-12T18:20", hours=4.5, bursts=16, visited=0.8, by_day=True,
         rig=Rig(exposure_s=1 / 8)),
    Plan("snow-short-day", "snow", "2027-01-12T08:45", hours=6.5, bursts=14, by_day=True, cloud=0.6),
)  # fmt: skip
"""Nothing fails; other flashes, a camera on its side, other settings."""

OTHER_RIGS = (
    Plan("woodland-three-flashes-third-stops", rig=THREE, faults=(Fault("flash-3", "stopped", 0.5),)),
    Plan("rocks-three-flashes-left-misfires", "rocks", rig=THREE, bursts=18,
         faults=(Fault("flash-left", "misfires", 0.2),)),
    Plan("rocks-three-flashes-third-stops-early", "rocks", rig=THREE, faults=(Fault("flash-3", "stopped", 0.25),)),
    Plan("garden-three-flashes-third-fades", "garden", rig=THREE, faults=(Fault("flash-3", "fading", 0.3),)),
    Plan("woodland-three-flashes-all-stop", rig=THREE, faults=(Fault("flash-link", "stopped", 0.6),)),
    Plan("river-one-flash-stops", "river", rig=ONE, faults=(Fault("flash-link", "stopped", 0.5),)),
    Plan("woodland-upright-right-flash-stops", rig=ON_ITS_LEFT_SIDE, faults=(Fault("flash-right", "stopped", 0.5),)),
    Plan("river-upright-lens-fogs", "river", rig=ON_ITS_RIGHT_SIDE, faults=(Fault("lens", "fogged", 0.4, None, 0.8),)),
    Plan("woodland-rain-drops-on-the-glass", weather=RAIN, cloud=1.0, faults=(Fault("lens", "wet", 0.25, 0.9, 0.6),)),
    Plan("river-pouring-drops-on-the-glass", "river", weather=POURING, cloud=1.0,
         faults=(Fault("lens", "wet", 0.15, None, 1.0),)),
)  # fmt: skip
"""Something fails; other flashes, a camera on its side; drops on the glass, which a tool may pass over."""

OTHER_CARDS = (
    Plan("garden-smaller-pictures-half-way", "garden", oddities=("smaller-pictures",)),
    Plan("rocks-few-frames", "rocks", bursts=3, visited=0.7, oddities=("nobody-at-the-rig",)),
    Plan("river-animal-in-every-frame", "river", visited=1.0, oddities=("nobody-at-the-rig",)),
    Plan("snow-near-and-far", "snow", "2027-01-12T13:10", hours=8.0, visited=0.9, bursts=16, by_day=True, cloud=0.7,
         at_m=NEAR_AND_FAR, guests=("fox", "hare", "roe deer", "red squirrel", "fox", "red deer")),
    Plan("farmyard-near-and-far-left-flash-stops", "farmyard", visited=0.9, bursts=16,
         at_m=(1.4, 6.4, 2.6, 5.8, 1.8, 6.6),
         guests=("fox", "wood mouse", "hare", "hedgehog", "hedgehog", "hare"),
         faults=(Fault("flash-left", "stopped", 0.5),)),
)  # fmt: skip
"""Cards that are odd in other ways, and animals very near and very far."""

SHORT = (
    Plan("woodland-quick-healthy", bursts=8, wind=0.15, size=(360, 240)),
    Plan("woodland-quick-left-flash-stops", bursts=8, wind=0.15, size=(360, 240),
         faults=(Fault("flash-left", "stopped", 0.5),)),
    Plan("farmyard-quick-lens-fogs", "farmyard", bursts=8, wind=0.15, size=(360, 240),
         faults=(Fault("lens", "fogged", 0.4, None, 0.9),)),
    Plan("garden-quick-view-knocked", "garden", bursts=8, wind=0.15, size=(360, 240),
         faults=(Fault("aim", "moved", 0.5, None, 6.0),)),
    Plan("river-quick-clock-resets", "river", bursts=8, wind=0.15, size=(360, 240),
         faults=(Fault("clock", "reset", 0.5),)),
)  # fmt: skip
"""Short nights in small pictures, for checks that need to be quick."""

PLANS: tuple[Plan, ...] = (
    *HEALTHY, *ELSEWHERE_HEALTHY, *OTHER_RIGS_HEALTHY, *ELSEWHERE, *FLASHES, *REST, *PAIRS, *ODD, *OTHER_RIGS,
    *OTHER_CARDS, *SHORT, *LONG,
)  # fmt: skip
"""Every planned night."""
