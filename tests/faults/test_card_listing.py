"""Cards that are not there, empty, closed, full of links or very large."""

import os
from pathlib import Path

import pytest

from tests import factories_files as files
from triage.errors import CardError
from triage.ingest.card import list_card
from triage.ingest.header import read_header
from triage.ingest.order import order_frames

NOBODY = 65534


def reasons_of(card):
    return {left.path: left.reason for left in card.left_out}


def test_no_such_folder(tmp_path):
    with pytest.raises(CardError, match=r"There is no folder .*nowhere") as caught:
        list_card(tmp_path / "nowhere")
    assert caught.value.exit_code == 3


def test_a_path_through_a_file(tmp_path):
    files.put(tmp_path, "a.jpg")

    with pytest.raises(CardError, match="There is no folder"):
        list_card(tmp_path / "a.jpg" / "DCIM")


def test_a_file_is_no_card(tmp_path):
    with pytest.raises(CardError, match="is a file, not a folder"):
        list_card(files.put(tmp_path, "a.jpg"))


def test_an_empty_folder(tmp_path):
    with pytest.raises(CardError, match=r"There are no pictures in .*: nothing in it\."):
        list_card(tmp_path)


def test_a_folder_without_pictures_says_what_there_is(tmp_path):
    files.put(tmp_path, "MISC/AUTPRINT.MRK")
    with pytest.raises(CardError, match="one file in it, neither JPEG, HEIF nor raw"):
        list_card(tmp_path)

    files.put(tmp_path, "DCIM/100NIGHT/NGT_0001.MOV")
    with pytest.raises(CardError, match="2 files in it, none of them JPEG, HEIF or raw"):
        list_card(tmp_path)


def test_a_name_that_cannot_be_printed_is_still_named(tmp_path):
    with pytest.raises(CardError) as caught:
        list_card(tmp_path / os.fsdecode(b"N\xe4chte"))

    assert "N\ufffdchte" in str(caught.value)
    str(caught.value).encode()


def refuse(monkeypatch, closed):
    real = os.scandir

    def scandir(path):
        if os.fspath(path).endswith(closed):
            raise PermissionError(13, "Permission denied", path)
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)


def test_a_closed_card_is_refused_in_words(tmp_path, monkeypatch):
    refuse(monkeypatch, tmp_path.name)

    with pytest.raises(CardError, match="cannot be opened: permission denied"):
        list_card(tmp_path)


def test_a_closed_folder_is_left_out_and_the_rest_is_listed(tmp_path, monkeypatch):
    files.put(tmp_path, "DCIM/100NIGHT/NGT_0001.JPG")
    files.put(tmp_path, "DCIM/101NIGHT/NGT_0002.JPG")
    refuse(monkeypatch, "101NIGHT")

    card = list_card(tmp_path)

    assert len(card.groups) == 1
    assert reasons_of(card) == {"DCIM/101NIGHT": "this folder cannot be opened: permission denied"}


def test_closed_folders_are_counted_where_no_picture_is_left(tmp_path, monkeypatch):
    files.put(tmp_path, "DCIM/100NIGHT/NGT_0001.JPG")
    refuse(monkeypatch, "100NIGHT")

    with pytest.raises(CardError, match="1 folders or files could not be opened"):
        list_card(tmp_path)


@pytest.mark.skipif(
    not hasattr(os, "seteuid") or os.geteuid() != 0, reason="only root can become somebody else"
)
def test_real_permissions_are_respected_and_told(tmp_path):
    """The same, without simulation: as a user who owns nothing here."""
    closed = files.put(tmp_path, "card/DCIM/101NIGHT/NGT_0002.JPG", files.jpeg())
    unreadable = files.put(tmp_path, "card/DCIM/100NIGHT/NGT_0001.JPG", files.jpeg())
    closed.parent.chmod(0o700)
    unreadable.chmod(0o600)
    for folder in [tmp_path, *list(tmp_path.parents)[:-1]]:
        if not folder.stat().st_mode & 0o001 and folder != Path("/tmp"):  # noqa: S108 - only asked, not used
            folder.chmod(folder.stat().st_mode | 0o055)
    os.seteuid(NOBODY)
    try:
        card = list_card(tmp_path / "card")
        header = read_header(tmp_path / "card", card.groups[0])
        with pytest.raises(CardError, match="permission denied"):
            list_card(closed.parent)
    finally:
        os.seteuid(0)

    assert reasons_of(card) == {"DCIM/101NIGHT": "this folder cannot be opened: permission denied"}
    assert header.problem == "NGT_0001.JPG cannot be opened: permission denied"


def test_links_to_files_count_and_links_to_folders_do_not(tmp_path):
    outside = files.put(tmp_path, "outside/one.jpg", files.jpeg())
    inside = files.put(tmp_path, "card/DCIM/100NIGHT/NGT_0001.JPG", files.jpeg())
    night = inside.parent
    (night / "NGT_0002.JPG").symlink_to(outside)
    (night / "NGT_0003.JPG").symlink_to(inside)
    os.link(inside, night / "NGT_0004.JPG")
    (night / "NGT_0005.JPG").symlink_to("gone.jpg")
    (night / "NGT_0006.JPG").symlink_to("NGT_0006.JPG")
    (night / "loop").symlink_to(tmp_path / "card")
    (night / "away").symlink_to(outside.parent)

    card = list_card(tmp_path / "card")

    assert [group[0].name for group in card.groups] == [f"NGT_000{number}.JPG" for number in (1, 2, 3, 4)]
    assert card.groups[1][0].size == outside.stat().st_size
    reasons = reasons_of(card)
    assert reasons["DCIM/100NIGHT/NGT_0005.JPG"] == "a link to gone.jpg, where there is no file"
    assert "where there is no file" in reasons["DCIM/100NIGHT/NGT_0006.JPG"]
    assert reasons["DCIM/100NIGHT/loop"].startswith("a link to the folder ")
    assert reasons["DCIM/100NIGHT/away"].endswith("links to folders are not followed")
    assert card.files == 8


def test_a_card_given_by_a_link_is_listed(tmp_path):
    files.put(tmp_path, "card/a.jpg", files.jpeg())
    (tmp_path / "link").symlink_to(tmp_path / "card")

    assert len(list_card(tmp_path / "link").groups) == 1


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes in folders")
def test_a_pipe_is_never_opened(tmp_path):
    files.put(tmp_path, "a.jpg", files.jpeg())
    os.mkfifo(tmp_path / "b.jpg")

    reasons = reasons_of(list_card(tmp_path))

    assert reasons == {"b.jpg": "not a file that holds data (a device, a pipe or a socket)"}


def test_a_folder_met_twice_is_listed_once(tmp_path, monkeypatch):
    """As with a mount or a junction that leads back; simulated, since making one needs special rights."""
    files.put(tmp_path, "a.jpg", files.jpeg())
    files.put(tmp_path, "back/a.jpg", files.jpeg())
    real = os.stat

    def stat(path, **how):
        return real(tmp_path) if os.fspath(path).endswith("back") else real(path, **how)

    monkeypatch.setattr(os, "stat", stat)

    card = list_card(tmp_path)

    assert len(card.groups) == 1
    assert reasons_of(card) == {"back": "a folder that leads back to one already listed"}


@pytest.mark.parametrize(
    "name",
    [
        "Füchse im Schnee.jpg",
        "狐 0007.JPG",
        "🦊.jpg",
        "e\u0301.jpg",
        "\u200f7.jpg",
        "a" * 246 + ".jpg",
        "new\nline.jpg",
    ],
)
def test_names_of_all_languages_and_lengths(tmp_path, name):
    files.put(tmp_path, name, files.jpeg())

    card = list_card(tmp_path)

    assert card.groups[0][0].path == name
    assert read_header(tmp_path, card.groups[0]).problem is None


def test_a_path_deeper_than_the_system_allows_is_left_out_not_a_stop(tmp_path):
    files.put(tmp_path, "a.jpg", files.jpeg())
    here = os.open(tmp_path, os.O_RDONLY)
    try:
        for _ in range(20):  # 20 times 250 characters is beyond the 4,096 a path may have
            os.mkdir("d" * 250, dir_fd=here)
            deeper = os.open("d" * 250, os.O_RDONLY, dir_fd=here)
            os.close(here)
            here = deeper
    finally:
        os.close(here)

    card = list_card(tmp_path)

    assert len(card.groups) == 1
    assert [left.reason for left in card.left_out] == [
        "this folder cannot be opened: its path is too long for this computer"
    ]


def test_two_thousand_files_in_one_folder(tmp_path):
    first = files.put(tmp_path, "DCIM/100NIGHT/NGT_0001.JPG", files.jpeg(files.scene(24, 36)))
    for number in range(2, 2001):
        os.link(first, first.with_name(f"NGT_{number:04d}.JPG"))

    card = list_card(tmp_path)

    assert len(card.groups) == card.files == 2000
    assert card.groups[-1][0].name == "NGT_2000.JPG"


def test_the_same_card_twice_in_one_folder_shows_every_file(tmp_path):
    for copy in ("first", "second"):
        files.put(tmp_path, f"{copy}/DCIM/100NIGHT/NGT_0001.JPG", files.jpeg())

    card = list_card(tmp_path)
    frames = order_frames(read_header(tmp_path, group) for group in card.groups)

    assert len(frames) == 2
    assert frames[0].key == frames[1].key  # one picture: a decision holds for both copies


def test_a_folder_that_vanishes_while_listing_is_left_out(tmp_path, monkeypatch):
    files.put(tmp_path, "100NIGHT/NGT_0001.JPG")
    files.put(tmp_path, "101NIGHT/NGT_0002.JPG")
    real = os.scandir

    def scandir(path):
        if os.fspath(path).endswith("101NIGHT"):
            raise OSError(19, "No such device")
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)

    assert reasons_of(list_card(tmp_path)) == {
        "101NIGHT": "this folder cannot be opened: the card is not there any more"
    }


class Entry:
    """A directory entry of a file system that fails at every question but the name."""

    name = path = "NGT_0002.JPG"

    def __init__(self, *, link: bool) -> None:
        self._link = link

    def is_dir(self, *, follow_symlinks=True):
        raise OSError(5, "Input/output error")

    def stat(self):
        raise OSError(5, "Input/output error")

    def is_symlink(self):
        return self._link


@pytest.mark.parametrize(
    ("link", "reason"),
    [
        (False, "it cannot be looked at: the card cannot be read at this place"),
        (True, "a link to elsewhere, where there is no file"),
    ],
)
def test_an_entry_that_cannot_be_looked_at_is_left_out(tmp_path, monkeypatch, link, reason):
    files.put(tmp_path, "NGT_0001.JPG", files.jpeg())
    real = os.scandir

    class Scan(list):
        def __enter__(self):
            return self

        def __exit__(self, *_):
            return None

    def scandir(path):
        with real(path) as found:
            return Scan([*found, Entry(link=link)])

    monkeypatch.setattr(os, "scandir", scandir)

    card = list_card(tmp_path)

    assert len(card.groups) == 1
    assert reasons_of(card) == {"NGT_0002.JPG": reason}
    assert card.files == 2
