import os
from pathlib import Path

import pytest

from triage.errors import CardError, UsageError
from triage.export.listing import Entry, check_apart, list_everything
from triage.export.outcome import NotCopied


def test_everything_is_listed_hidden_litter_and_empty_folders_included(tmp_path: Path) -> None:
    for path in ("DCIM/100NIGHT/NGT_0001.JPG", ".hidden/index", "MISC/AUTPRINT.MRK", "film.MOV"):
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_bytes(path.encode())
        os.utime(tmp_path / path, ns=(10**18, 10**18))
    (tmp_path / "empty" / "inside").mkdir(parents=True)
    listing = list_everything(tmp_path)
    assert listing.files == tuple(
        Entry(path, len(path), 10**18)
        for path in (".hidden/index", "DCIM/100NIGHT/NGT_0001.JPG", "MISC/AUTPRINT.MRK", "film.MOV")
    )
    assert listing.folders == (".hidden", "DCIM", "DCIM/100NIGHT", "MISC", "empty", "empty/inside")
    assert listing.refused == ()


def test_links_and_devices_are_told_and_not_followed(tmp_path: Path) -> None:
    (tmp_path / "loop").symlink_to(tmp_path)
    (tmp_path / "away").symlink_to("/etc")
    os.mkfifo(tmp_path / "pipe")
    listing = list_everything(tmp_path)
    assert listing.files == ()
    assert [entry.path for entry in listing.refused] == ["away", "loop", "pipe"]


def test_a_folder_that_cannot_be_read_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "locked").mkdir()
    look = Path.iterdir

    def refuse(path: Path) -> object:
        if path.name == "locked":
            raise PermissionError(13, "Permission denied")
        return look(path)

    monkeypatch.setattr(Path, "iterdir", refuse)
    assert list_everything(tmp_path).refused == (
        NotCopied("locked", "the folder cannot be read: there is no permission"),
    )


def test_a_file_that_vanishes_while_listed_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "gone.JPG").write_bytes(b"")

    def refuse(_path: Path) -> os.stat_result:
        raise FileNotFoundError(2, "No such file or directory")

    monkeypatch.setattr(Path, "lstat", refuse)
    assert [entry.path for entry in list_everything(tmp_path).refused] == ["gone.JPG"]


def test_a_card_that_is_not_there_is_told_in_words(tmp_path: Path) -> None:
    with pytest.raises(CardError, match="cannot be read as a card"):
        list_everything(tmp_path / "nowhere")
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(CardError, match="a file stands where a folder should be"):
        list_everything(tmp_path / "file")


@pytest.mark.parametrize("inside", [".", "copy", "DCIM/copy/deep", "../card/copy"])
def test_a_target_on_the_card_is_refused(tmp_path: Path, inside: str) -> None:
    card = tmp_path / "card"
    card.mkdir()
    with pytest.raises(UsageError, match="lies on the card itself"):
        check_apart(card, card / inside)


def test_a_target_that_leads_to_the_card_by_a_link_is_refused(tmp_path: Path) -> None:
    (tmp_path / "card" / "DCIM").mkdir(parents=True)
    (tmp_path / "link").symlink_to(tmp_path / "card" / "DCIM")
    with pytest.raises(UsageError, match="lies on the card itself"):
        check_apart(tmp_path / "card", tmp_path / "link" / "copy")


def test_a_target_elsewhere_on_the_same_memory_card_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "card" / "DCIM" / "100NIGHT").mkdir(parents=True)
    check_apart(tmp_path / "card" / "DCIM" / "100NIGHT", tmp_path / "card" / "backup")
    monkeypatch.setattr(os.path, "ismount", lambda path: Path(path) == tmp_path.resolve() / "card")
    with pytest.raises(UsageError, match="lies on the card itself"):
        check_apart(tmp_path / "card" / "DCIM" / "100NIGHT", tmp_path / "card" / "backup")


def test_a_target_beside_the_card_is_fine(tmp_path: Path) -> None:
    (tmp_path / "card").mkdir()
    check_apart(tmp_path / "card", tmp_path / "card copy" / "night")
