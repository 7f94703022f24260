"""Standing cautions for the next night; they defer to local law, codes and licensed practice."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution.

    Attributes
    ----------
    title : str
        What it is about.
    words : str
        What to mind.
    """

    title: str
    words: str


CAUTIONS = (
    Caution(
        "Flashes",
        "Mount them well above the animal's eye line and use no more of them, and no more power, than the "
        "picture needs (common practice). Stop if animals shy away or stay out.",
    ),
    Caution(
        "Nests, dens and bait",
        "Keep off nests and dens, and use no bait, wherever law or a code of practice says so. Many species "
        "may only be photographed near the nest under a licence. The animal's welfare comes before the "
        "picture.",
    ),
    Caution(
        "Land",
        "Ask the landowner, and whoever has rights there, before you set up, and again when things change.",
    ),
    Caution(
        "People",
        "Where people may pass, local privacy law decides whether and how a camera may stand there. Pictures "
        "of people may be personal data: keep only what you need, pass none on without a reason in law, and "
        "put up a notice where that is usual.",
    ),
    Caution(
        "Cells and flash units",
        "Charge, carry and store cells as their maker says; do not use cells that are swollen or hot, and do "
        "not mix old and new ones. A sealed lead or gel cell must not be charged inside a closed housing. "
        "Never open a flash unit: it holds a high voltage long after it is switched off. Leave repairs to a "
        "qualified workshop.",
    ),
    Caution(
        "You",
        "At dusk and in bad ground, tell someone where you are and when you will be back. Stay away from "
        "roads, railways, water and steep slopes unless you may be there and can be there safely.",
    ),
)
LAST_WORD = "These are reminders, not advice in law. Local law, codes of practice and your licence go first."
