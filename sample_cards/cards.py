"""Cards that come with the package."""

from pathlib import Path


def bundled() -> Path:
    """Return the root of the sample card that comes with the package."""
    return Path(__file__).parent / "first" / "card"


def bundled_truth() -> Path:
    """Return the truth file of the sample card that comes with the package."""
    return Path(__file__).parent / "first" / "truth.json"
