import errno
import hashlib
import os
from collections.abc import Callable, Generator
from pathlib import Path

import pytest

from triage.errors import Stopped
from triage.export import verified
from triage.export.verified import CopyError, Verified, file_digest, verified_copy

DATA = bytes(range(256)) * 50_000  # 12.8 MB: several pieces


def run(copying: Generator[int, None, Verified]) -> tuple[list[int], Verified]:
    pieces = []
    while True:
        try:
            pieces.append(next(copying))
        except StopIteration as end:
            return pieces, end.value


@pytest.fixture
def source(tmp_path: Path) -> Path:
    path = tmp_path / "card" / "NGT_0001.NEF"
    path.parent.mkdir()
    path.write_bytes(DATA)
    os.utime(path, ns=(1_790_000_000_000_000_000, 1_790_000_123_000_000_000))
    return path


@pytest.fixture
def target(tmp_path: Path) -> Path:
    path = tmp_path / "copy" / "NGT_0001.NEF"
    path.parent.mkdir()
    return path


def nothing_but(target: Path, data: bytes | None = None) -> bool:
    there = {path.name: path.read_bytes() for path in target.parent.iterdir()}
    return there == ({} if data is None else {target.name: data})


def test_a_copy_has_the_same_contents_and_time_and_its_digest_is_told(source: Path, target: Path) -> None:
    pieces, told = run(verified_copy(source, target))
    assert nothing_but(target, DATA)
    # FIPS 180-4 as the standard library computes it.
    assert told == Verified(hashlib.sha256(DATA).hexdigest(), len(DATA), already=False)
    assert sum(pieces) == len(DATA)
    assert len(pieces) > 1
    assert target.stat().st_mtime_ns == source.stat().st_mtime_ns


def test_an_empty_file_is_copied_too(source: Path, target: Path) -> None:
    source.write_bytes(b"")
    assert run(verified_copy(source, target))[1].size == 0
    assert nothing_but(target, b"")


def test_the_same_file_there_counts_as_copied(source: Path, target: Path) -> None:
    target.write_bytes(DATA)
    assert run(verified_copy(source, target))[1].already


@pytest.mark.parametrize("other", [b"shorter", DATA[:-1] + b"?"], ids=["size", "last byte"])
def test_another_file_there_is_left_as_it_is(source: Path, target: Path, other: bytes) -> None:
    target.write_bytes(other)
    with pytest.raises(CopyError, match="another file of that name is there already"):
        run(verified_copy(source, target))
    assert nothing_but(target, other)


def test_a_link_in_the_way_is_not_followed(source: Path, target: Path, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").write_bytes(DATA)
    target.symlink_to(tmp_path / "elsewhere")
    with pytest.raises(CopyError, match="another file"):
        run(verified_copy(source, target))


def test_the_cards_own_file_is_no_copy_of_itself(source: Path, target: Path) -> None:
    os.link(source, target)
    with pytest.raises(CopyError, match="the card's own, not a copy"):
        run(verified_copy(source, target))


def test_a_name_taken_at_the_last_moment_is_not_overwritten(source: Path, target: Path) -> None:
    copying = verified_copy(source, target)
    next(copying)
    target.write_bytes(b"faster")
    with pytest.raises(CopyError, match="another file"):
        run(copying)
    assert nothing_but(target, b"faster")


def test_stopping_leaves_nothing_behind(source: Path, target: Path) -> None:
    asked = iter([False, True])
    with pytest.raises(Stopped):
        run(verified_copy(source, target, stop=lambda: next(asked)))
    assert nothing_but(target)


def test_giving_up_the_generator_leaves_nothing_behind(source: Path, target: Path) -> None:
    copying = verified_copy(source, target)
    next(copying)
    assert not nothing_but(target)
    copying.close()
    assert nothing_but(target)


def failing(real: Callable[..., int], *, after: int, code: int) -> Callable[..., int]:
    """Return a function that works some times and then fails for good."""
    calls = 0

    def call(*arguments: object) -> int:
        nonlocal calls
        calls += 1
        if calls > after:
            raise OSError(code, os.strerror(code))
        return real(*arguments)

    return call


@pytest.mark.parametrize(
    ("step", "after", "code", "words"),
    [
        ("write", 1, errno.ENOSPC, "the copy cannot be written: the disk is full"),
        ("write", 0, errno.EIO, "the copy cannot be written: reading or writing gave an error"),
        ("fsync", 0, errno.ENOSPC, "the copy cannot be written: the disk is full"),
        ("read", 1, errno.EIO, "it cannot be read from the card: reading or writing gave an error"),
        ("read", 1, errno.ENODEV, "it cannot be read from the card: it is not there any more"),
    ],
)
def test_a_failure_half_way_is_told_in_words_and_leaves_nothing_behind(
    source: Path, target: Path, monkeypatch: pytest.MonkeyPatch, step: str, after: int, code: int, words: str
) -> None:
    monkeypatch.setattr(os, step, failing(getattr(os, step), after=after, code=code))
    with pytest.raises(CopyError, match=words) as told:
        run(verified_copy(source, target))
    monkeypatch.undo()
    assert told.value.no_room == (code == errno.ENOSPC)
    assert nothing_but(target)


def test_a_card_that_gives_fewer_bytes_than_it_promised_is_found_out(
    source: Path, target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pieces = iter([DATA[:100], b""])
    monkeypatch.setattr(os, "read", lambda _descriptor, _size: next(pieces))
    with pytest.raises(CopyError, match=f"100 of its {len(DATA)} bytes could be read"):
        run(verified_copy(source, target))
    assert nothing_but(target)


def test_a_disk_that_keeps_other_bytes_than_it_was_given_is_found_out(
    source: Path, target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The written file is changed on the disk between the flush and the reading back.
    real = verified.check_read_back

    def bad_disk(path: Path, digest: str, stop: verified.Stop) -> None:
        with path.open("r+b") as file:
            file.seek(5_000_000)
            file.write(b"?")
        real(path, digest, stop)

    monkeypatch.setattr(verified, "check_read_back", bad_disk)
    with pytest.raises(CopyError, match="is not what was on the card"):
        run(verified_copy(source, target))
    assert nothing_but(target)


def test_a_copy_that_cannot_be_read_back_is_told_in_words(
    source: Path, target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_path: Path, _stop: object) -> str:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(verified, "file_digest", refuse)
    with pytest.raises(CopyError, match="the copy cannot be read back"):
        run(verified_copy(source, target))
    assert nothing_but(target)


def test_a_missing_source_or_folder_is_told_in_words(source: Path, target: Path) -> None:
    with pytest.raises(CopyError, match="cannot be written"):
        run(verified_copy(source, target.parent / "nowhere" / "x"))
    target.write_bytes(DATA)
    source.unlink()
    with pytest.raises(CopyError, match="cannot be read from the card"):
        run(verified_copy(source, target))
    target.unlink()
    with pytest.raises(CopyError, match="cannot be read from the card"):
        run(verified_copy(source, target))


def test_a_file_there_that_cannot_be_compared_is_told_in_words(
    source: Path, target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target.write_bytes(DATA)

    def refuse(_path: Path, _stop: object) -> str:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(verified, "file_digest", refuse)
    with pytest.raises(CopyError, match="is there already and cannot be compared"):
        run(verified_copy(source, target))


def test_a_drive_that_keeps_no_times_does_not_stop_a_copy(
    source: Path, target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_arguments: object, **_named: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "utime", refuse)
    run(verified_copy(source, target))
    assert nothing_but(target, DATA)


@pytest.mark.skipif(not hasattr(os, "posix_fadvise"), reason="this system gives no such advice")
def test_reading_back_asks_for_the_disk_not_for_memory(source: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    advice: list[tuple[int, int, int]] = []
    monkeypatch.setattr(os, "posix_fadvise", lambda _descriptor, *words: advice.append(words))
    assert file_digest(source) == hashlib.sha256(DATA).hexdigest()
    assert advice == [(0, 0, os.POSIX_FADV_DONTNEED)]


def test_the_source_is_not_touched(source: Path, target: Path) -> None:
    before = (source.read_bytes(), source.stat().st_mtime_ns, source.stat().st_mode, source.stat().st_nlink)
    run(verified_copy(source, target))
    after = (source.read_bytes(), source.stat().st_mtime_ns, source.stat().st_mode, source.stat().st_nlink)
    assert after == before
