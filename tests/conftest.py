"""Fixtures shared by all tests."""

from collections.abc import Callable

import pytest

from tests import factories
from triage.records.result import Triage


@pytest.fixture
def make_triage() -> Callable[..., Triage]:
    """Give a builder of small answers with known content; see `tests.factories.make_small_triage`."""
    return factories.make_triage
