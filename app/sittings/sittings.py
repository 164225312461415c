"""The sittings panel as part of the desk: its page, its calendar, and what is written when the painting is left."""

from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from app.checking import Say
from app.dialogs import Dialogs
from app.prints import PrintKey
from app.questions.sittings import SittingsPanel
from app.saving import Saving
from app.sittings.pages import CALENDAR, CalendarOrder, PlanOrder, events, plan_sheet, write_events, write_plan
from app.studio import Studio
from app.view import Look, Subject
from core.errors import PainterError

PAGE, EVENTS = "saving the plan of the sittings", "saving the calendar"


class Sittings(QObject):
    """Does what the panel's buttons ask for."""

    def __init__(self, studio: Studio, panel: SittingsPanel, dialogs: Dialogs, say: Say, desk: QWidget) -> None:
        super().__init__(desk)
        self._studio, self._panel, self._say = studio, panel, say
        self._saving = Saving(studio.worker, dialogs, say, desk)
        panel.paper.page_wanted.connect(self.print_plan)
        panel.paper.calendar_wanted.connect(self.save_calendar)

    def leave(self) -> None:
        """Keep what is written and not kept yet."""
        self._panel.commit()

    def print_plan(self) -> None:
        """Write the page of the plan."""
        self._panel.commit()
        studio, title = self._studio, self._studio.painting.title
        path = self._saving.ask("sittings", title)
        if path is None:
            return
        source = studio.source(Subject.REFERENCE)
        try:
            sheet = plan_sheet(studio.sittings, studio.view.sittings, title, studio.painting.size)
        except PainterError as trouble:
            self._say(str(trouble))
            return
        key = None if source is None else PrintKey(source, True, Look.COLOUR)
        photo = None if source is None else studio.room.held_photo(source)
        self._saving.write(PAGE, path, partial(write_plan, PlanOrder(sheet, key, photo)))

    def save_calendar(self) -> None:
        """Write the file for a calendar."""
        self._panel.commit()
        painting, reads = self._studio.painting, self._studio.sittings
        try:
            found = events(reads, painting.record.uuid, painting.title)
        except PainterError as trouble:
            self._say(str(trouble))
            return
        path = self._saving.ask("sittings", painting.title, CALENDAR)
        if path is not None:
            self._saving.write(EVENTS, path, partial(write_events, CalendarOrder(found, reads.now())))
