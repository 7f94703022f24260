"""Whether a window could be shown here."""

import os
import sys
from collections.abc import Mapping

_UNSEEN = frozenset({"offscreen", "minimal"})
_OWN_SCREEN = frozenset({"eglfs", "linuxfb", "vnc", "vkkhrdisplay"})


def has_display(environment: Mapping[str, str] = os.environ, platform: str = sys.platform) -> bool:
    """Whether there is a screen to show a window on.

    Parameters
    ----------
    environment : mapping of str to str, optional
        The process's environment.
    platform : str, optional
        As in `sys.platform`.

    Returns
    -------
    bool
        On Windows and macOS always True, unless the window was sent off screen by ``QT_QPA_PLATFORM``.
    """
    wish = environment.get("QT_QPA_PLATFORM", "").split(";")[0].split(":")[0]
    if wish in _UNSEEN:
        return False
    if platform in {"win32", "cygwin", "darwin"} or wish in _OWN_SCREEN:
        return True
    return bool(environment.get("DISPLAY") or environment.get("WAYLAND_DISPLAY"))
