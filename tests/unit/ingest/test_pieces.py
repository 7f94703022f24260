"""Pieces read as one file, compared with the joined bytes."""

import io

from hypothesis import given, settings
from hypothesis import strategies as st

from triage.ingest.pieces import Pieces

STEPS = st.lists(
    st.tuples(st.sampled_from(["read", "seek"]), st.integers(-1, 40), st.integers(0, 2)), max_size=12
)


@settings(deadline=None)
@given(st.lists(st.binary(max_size=12), min_size=1, max_size=4), STEPS)
def test_pieces_read_like_the_joined_bytes(parts, steps):
    joined, pieces = io.BytesIO(b"".join(parts)), Pieces(*map(memoryview, parts))
    for kind, number, whence in steps:
        if kind == "read":
            assert pieces.read(number) == joined.read(number)
        elif number >= 0:
            assert pieces.seek(number, whence) == joined.seek(number, whence)
        assert pieces.tell() == joined.tell()
