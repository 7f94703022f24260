"""Whether a window could be shown."""

import pytest

from triage.cli.display import has_display


@pytest.mark.parametrize(
    ("environment", "platform", "expected"),
    [
        ({}, "linux", False),
        ({"DISPLAY": ":0"}, "linux", True),
        ({"WAYLAND_DISPLAY": "wayland-0"}, "linux", True),
        ({"DISPLAY": ""}, "linux", False),
        ({"DISPLAY": ":0", "QT_QPA_PLATFORM": "offscreen"}, "linux", False),
        ({"DISPLAY": ":0", "QT_QPA_PLATFORM": "xcb"}, "linux", True),
        ({"QT_QPA_PLATFORM": "xcb"}, "linux", False),
        ({"QT_QPA_PLATFORM": "vnc:size=800x600"}, "linux", True),
        ({}, "win32", True),
        ({}, "darwin", True),
        ({"QT_QPA_PLATFORM": "offscreen"}, "darwin", False),
    ],
)
def test_a_display_is_there_or_not(environment: dict[str, str], platform: str, expected: bool) -> None:
    assert has_display(environment, platform) is expected
