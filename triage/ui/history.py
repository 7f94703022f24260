"""In which order decisions and writings were made, so that one key takes the last of either back; no Qt."""

from enum import StrEnum


class Deed(StrEnum):
    """What can be taken back."""

    DECISION = "decision"
    WRITING = "writing"


class History:
    """The deeds of this sitting; what was done in earlier ones is a decision."""

    def __init__(self) -> None:
        self._done: list[Deed] = []
        self._undone: list[Deed] = []

    def forget(self) -> None:
        """Begin anew, with another card."""
        self._done.clear()
        self._undone.clear()

    @property
    def last_done(self) -> Deed:
        """What is to be taken back next."""
        return self._done[-1] if self._done else Deed.DECISION

    @property
    def last_undone(self) -> Deed:
        """What is to be made again next."""
        return self._undone[-1] if self._undone else Deed.DECISION

    def did(self, deed: Deed) -> None:
        """Take note of a deed; what was taken back before cannot be made again."""
        self._done.append(deed)
        self._undone.clear()

    def took_back(self) -> None:
        """Take note that the last deed was taken back."""
        self._undone.append(self._done.pop() if self._done else Deed.DECISION)

    def made_again(self) -> None:
        """Take note that the deed taken back last was made again."""
        self._done.append(self._undone.pop() if self._undone else Deed.DECISION)
