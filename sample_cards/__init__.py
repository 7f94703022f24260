"""Rendered nights with known truth."""

from pathlib import Path

from sample_cards.cards import bundled, bundled_truth

__all__ = ["bundled", "bundled_truth", "render_night"]


def render_night(
    name: str, folder: Path, *, size: tuple[int, int] | None = None, seed: int | None = None
) -> Path:
    """Render a night into a new folder and return the card's root; see `sample_cards.render.render_night`."""
    # The renderer is heavy and seldom needed: whoever only wants the bundled card should not wait for it.
    from sample_cards import render  # noqa: PLC0415

    return render.render_night(name, folder, size=size, seed=seed)
