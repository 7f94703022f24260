"""Shares as people read them: the one place that says how a number and its sign for percent stand together."""

NO_BREAK = "\u00a0"
"""Keeps a figure and its unit on one line."""


def percent(share: float, *, places: int = 0, signed: bool = False) -> str:
    """Say a share in percent.

    Parameters
    ----------
    share : float
        1 is the whole.
    places : int, default 0
        Digits after the point.
    signed : bool, default False
        Whether a plus is written too.

    Returns
    -------
    str
        The number, a space that does not break, and the sign, as ISO 80000-1 has it.

    References
    ----------
    ISO 80000-1:2022, clause 7.2.8 (from memory): a space stands between a number and the symbol %.
    """
    return f"{100 * share:{'+' if signed else ''}.{places}f}{NO_BREAK}%"
