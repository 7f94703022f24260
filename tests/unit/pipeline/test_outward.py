from hypothesis import given, settings
from hypothesis import strategies as st

from triage.pipeline.outward import nobody, outward

UNTIMED = settings(deadline=None)
MEMBERS = st.lists(st.integers(0, 200), unique=True, max_size=30).map(sorted)


@UNTIMED
@given(MEMBERS)
def test_in_order_where_nobody_looks(members):
    assert list(outward(members, nobody)) == list(range(len(members)))


@UNTIMED
@given(MEMBERS, st.lists(st.none() | st.integers(-5, 210), min_size=1))
def test_every_frame_comes_once_and_each_time_the_nearest_to_what_is_looked_at(members, looks):
    asked = []

    def nearest():
        asked.append(looks[len(asked) % len(looks)])
        return asked[-1]

    left = set(range(len(members)))
    for place in outward(members, nearest):
        looked_at = asked[-1]
        assert place in left
        if looked_at is None:
            assert place == min(left)
        else:
            assert abs(members[place] - looked_at) == min(abs(members[each] - looked_at) for each in left)
        left.remove(place)
    assert not left


def test_of_two_equally_near_the_later_one_comes_first():
    assert list(outward(range(5), lambda: 2)) == [2, 3, 1, 4, 0]
