"""Lengths in a note, given in the other system of units as well: some measure tracks in inches, some in centimetres."""

import re

CM_PER_INCH = 2.54
"""Exact since 1959: the international yard and pound agreement (NIST Handbook 44, appendix C)."""

INCHES_PER_FOOT = 12

_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}

_NUMBER = r"\d+[ -]\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?"
_UNITS = {
    "mm": r"mm|millimet(?:re|er)s?",
    "cm": r"cm|centimet(?:re|er)s?",
    "m": r"m|met(?:re|er)s?",
    "in": r"inch(?:es)?|in\.|in(?=\s*(?:$|[,;:!?)]))|\u2033|\"",
    "ft": r"ft\.?|feet|foot|\u2032",
}
_CM = {"mm": 0.1, "cm": 1.0, "m": 100.0, "in": CM_PER_INCH, "ft": INCHES_PER_FOOT * CM_PER_INCH}
_OTHER = {"mm": "in", "cm": "in", "m": "ft", "in": "cm", "ft": "m"}

_LENGTH = re.compile(
    rf"(?<![\w/.,:])({_NUMBER})(?:\s*(?:by|x|\u00d7)\s*({_NUMBER}))?\s*(?:"
    + "|".join(f"(?P<{name}>{words})" for name, words in _UNITS.items())
    + r")(?!\w)",
    re.IGNORECASE,
)


def in_other_units(text: str) -> tuple[str, ...]:
    """Give every length of a text in the other system of units.

    Parameters
    ----------
    text : str
        A note: ``track 2 3/8 by 1 7/8 inches``, ``den 12 m away``.

    Returns
    -------
    tuple of str
        In their order, each once: ``6.0 by 4.8 cm``. A bare ``in`` counts as inches only before a pause, for most are
        words.
    """
    for sign, fraction in _VULGAR.items():
        text = re.sub(rf"(?<=\d)\s*{sign}", f" {fraction}", text).replace(sign, fraction)
    return tuple(dict.fromkeys(_converted(found) for found in _LENGTH.finditer(text)))


def _converted(found: re.Match[str]) -> str:
    """Write one length in the other units."""
    unit = str(found.lastgroup)
    other = _OTHER[unit]
    numbers = [_value(number) * _CM[unit] / _CM[other] for number in found.groups()[:2] if number]
    return f"{' by '.join(f'{number:.1f}' for number in numbers)} {other}"


def _value(number: str) -> float:
    """Read a number: decimal, or whole and fraction."""
    whole, _, fraction = number.replace("-", " ").rpartition(" ")
    if "/" not in fraction:
        return float(fraction.replace(",", "."))
    over, under = fraction.split("/")
    return float(whole or 0) + (int(over) / int(under) if int(under) else 0.0)
