"""What the window is made of, handed as one to the parts that bring it to life."""

from dataclasses import dataclass

from triage.store.library import Library
from triage.ui.session import Session
from triage.ui.sorting import Sorting
from triage.ui.views.dusk import DuskPage
from triage.ui.views.notice import Notice
from triage.ui.views.sorting_page import SortingPage
from triage.ui.views.status import StatusLine
from triage.ui.views.welcome import WelcomePage
from triage.ui.workers.reading import CardReading


@dataclass(frozen=True, slots=True)
class Fittings:
    """The lasting parts of one window.

    Attributes
    ----------
    library, session, sorting, reading
        State, and work off the window's thread.
    welcome, page, dusk, notice, status
        Widgets.
    """

    library: Library
    session: Session
    sorting: Sorting
    reading: CardReading
    welcome: WelcomePage
    page: SortingPage
    dusk: DuskPage
    notice: Notice
    status: StatusLine
