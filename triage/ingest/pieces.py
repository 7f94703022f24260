"""Several stretches of bytes read as if they were one file, without joining them."""

from itertools import accumulate


class Pieces:
    """A file made of pieces; as much of one as the picture library asks for.

    Parameters
    ----------
    *pieces : bytes or memoryview
        In their order.
    """

    def __init__(self, *pieces: bytes | memoryview) -> None:
        self._pieces = pieces
        self._ends = tuple(accumulate(len(piece) for piece in pieces))
        self._position = 0

    def read(self, count: int = -1) -> bytes:
        """Return the next bytes.

        Parameters
        ----------
        count : int, default -1
            How many; all that are left where negative.

        Returns
        -------
        bytes
            Fewer at the end.
        """
        start = self._position
        stop = self._ends[-1] if count < 0 else min(start + count, self._ends[-1])
        found = []
        first = 0
        for piece, end in zip(self._pieces, self._ends, strict=True):
            if first < stop and start < end:
                found.append(piece[max(0, start - first) : stop - first])
            first = end
        self._position = max(start, stop)
        return b"".join(found)

    def seek(self, offset: int, whence: int = 0) -> int:
        """Go to a place.

        Parameters
        ----------
        offset : int
            From the start, from here or from the end.
        whence : int, default 0
            0, 1 or 2 for these three.

        Returns
        -------
        int
            The place, counted from the start.
        """
        self._position = max(0, offset + (0, self._position, self._ends[-1])[whence])
        return self._position

    def tell(self) -> int:
        """Return the place, counted from the start."""
        return self._position
