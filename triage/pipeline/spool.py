"""Measuring pictures kept off the heap, so that memory does not grow with the card."""

import threading
from collections import OrderedDict

from triage.errors import OutputError
from triage.records.arrays import Rgb
from triage.store.pictures import PictureStore, Place

_AT_HAND_BYTES = 96_000_000
"""Pictures used last stay in memory, some two hundred of them: frames are compared with their neighbours."""


class Spool:
    """Measuring pictures by the index of their frame; safe in threads.

    Parameters
    ----------
    store : PictureStore
        Where they lie.
    """

    def __init__(self, store: PictureStore) -> None:
        self._store = store
        self._places: dict[int, Place] = {}
        self._at_hand: OrderedDict[int, Rgb] = OrderedDict()
        self._bytes = 0
        self._lock = threading.Lock()

    def put(self, index: int, key: bytes, picture: Rgb) -> None:
        """Keep a picture.

        Parameters
        ----------
        index : int
            The frame.
        key : bytes
            What a later run finds it by.
        picture : ndarray of uint8, shape (M, N, 3)
            Its measuring picture. Must not be changed afterwards.

        Raises
        ------
        OutputError
            No room is left on the disk.
        """
        self._note(index, self._store.put(key, picture), picture)

    def recall(self, index: int, key: bytes) -> Rgb | None:
        """Take a picture over from an earlier run.

        Parameters
        ----------
        index : int
            The frame.
        key : bytes
            What it was kept by.

        Returns
        -------
        ndarray of uint8, shape (M, N, 3), or None
            None where it is not there, or not whole.
        """
        place = self._store.find(key)
        picture = None if place is None else self._store.get(place)
        if place is not None and picture is not None:
            self._note(index, place, picture)
        return picture

    def shape(self, index: int) -> tuple[int, int, int]:
        """Give a picture's shape without reading it.

        Parameters
        ----------
        index : int
            The frame.

        Returns
        -------
        tuple of int
            Rows, columns, channels.
        """
        return self._places[index].shape

    def get(self, index: int) -> Rgb:
        """Read a picture back.

        Parameters
        ----------
        index : int
            The frame.

        Returns
        -------
        ndarray of uint8, shape (M, N, 3)
            As it was put. Must not be changed.

        Raises
        ------
        OutputError
            The disk gives something else.
        """
        place = self._places[index]
        with self._lock:
            if index in self._at_hand:
                self._at_hand.move_to_end(index)
                return self._at_hand[index]
        picture = self._store.get(place)
        if picture is None:
            msg = "A temporary picture cannot be read back from the disk. Check the disk and try again."
            raise OutputError(msg)
        self._note(index, place, picture)
        return picture

    def _note(self, index: int, place: Place, picture: Rgb) -> None:
        with self._lock:
            self._places[index] = place
            before = self._at_hand.pop(index, None)
            self._at_hand[index] = picture
            self._bytes += picture.nbytes - (0 if before is None else before.nbytes)
            while self._bytes > _AT_HAND_BYTES:
                self._bytes -= self._at_hand.popitem(last=False)[1].nbytes
