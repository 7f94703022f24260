"""Ctrl-C as a question asked between steps."""

import signal

import pytest

from triage.cli.stopping import StopFlag, stop_on_signals
from triage.errors import Stopped


def test_the_first_request_is_a_flag_and_the_second_interrupts() -> None:
    flag = StopFlag()
    assert not flag()
    flag.check()
    flag.ask()
    assert flag()
    with pytest.raises(Stopped):
        flag.check()
    with pytest.raises(KeyboardInterrupt):
        flag.ask()


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_asks_to_stop_and_the_old_handlers_come_back(number: signal.Signals) -> None:
    before = signal.getsignal(number)
    with stop_on_signals() as stop:
        signal.raise_signal(number)
        assert stop()
    assert signal.getsignal(number) is before
