"""Putting the painting's report together: the final photo on the left, what is wanted on the right."""

from dataclasses import replace
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app import look
from app.checking import Say
from app.dialogs import Dialogs
from app.questions.parts import button, flow, row, text
from app.reporting.final_view import FinalView
from app.reporting.jobs import FinalSeen, look_at_final, write_final, write_pdf
from app.reporting.settings import Settings
from app.reporting.told import told_of
from app.reporting.wish import SETTING, Wish
from app.saving import Saving
from app.settling import settling
from app.studio import Studio
from core.errors import PainterError
from core.painting import CanvasPhotoRecord
from core.painting_report.parts import Part, ReportInput

LOOK, SAVE = "final photo of the report", "saving the report"
SIDE_PX, SIDE_SHARE = 400, 0.46
NO_FINAL = "There is no canvas photo on the ledge yet, so the report has no final photo."
NO_PARTS = "Nothing is chosen to go in. Choose one part of the report at least."
WHOLE = "The corners of this photo are not placed, so it is shown whole. Place them to have the painting alone."
NOT_LOOKED = "The final photo was not looked at. The report can be saved all the same."
LOOKING = "Looking at the final photo…"


class Composing(QWidget):
    """Follows the studio's painting while it is shown."""

    left = Signal()

    def __init__(self, studio: Studio, dialogs: Dialogs, say: Say, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._saving = Saving(studio.worker, dialogs, say, self)
        self._on = False
        self._report: ReportInput | None = None
        self._looked_at: tuple[object, ...] | None = None
        self.seen = FinalSeen()
        self.view, self.settings = FinalView(), Settings()
        self.trouble, self.honest = text(role="sentence"), text(role="note")
        self._settling = settling(self, self.take)
        self._lay_out()
        self.settings.changed.connect(self._settling.start)
        studio.history_changed.connect(self._painting_changed)

    def begin(self) -> str:
        """Show the report as it was wanted last; gives a sentence where there can be none."""
        self._studio.keep_now()
        wish = Wish.from_json(self._studio.painting.setting(SETTING))
        try:
            self._report = self._gathered(wish)
        except PainterError as trouble:
            return str(trouble)
        self._on, self._looked_at = True, None
        self.settings.show_wish(wish, self._photos(), self._there())
        self._look()
        return ""

    def leave(self) -> None:
        """What is looked at is not wanted any more; a file that is being written is."""
        if not self._on:
            return
        if self._settling.isActive():
            self._keep(self.settings.wish())
        self._on = False
        self._settling.stop()
        self._studio.worker.cancel(LOOK)
        self._report, self._looked_at, self.seen = None, None, FinalSeen()
        self.view.show_words("")

    def take(self) -> None:
        """What is set counts from now on: it is kept, and the final photo looked at as it is wanted."""
        self._settling.stop()
        if not self._on:
            return
        wish = self.settings.wish()
        self._keep(wish)
        self.trouble.hide()
        try:
            self._report = self._gathered(wish)
        except PainterError as trouble:
            self._refuse(str(trouble))
            return
        self._look()

    def save_report(self) -> None:
        """Everything chosen, as a PDF."""
        self.take()
        wish, report = self.settings.wish(), self._report
        if not wish.parts:
            self._refuse(NO_PARTS)
        elif report is not None and self.trouble.isHidden():
            path = self._saving.ask("report", self._studio.painting.title)
            if path is not None:
                self._saving.write(SAVE, path, partial(write_pdf, report, wish.choice))

    def save_final(self, ending: str) -> None:
        """The whole final photo with its colours put right; ``ending``: ``.jpg`` or ``.png``."""
        self.take()
        if self._report is None or self._report.final is None or self.seen.correction is None:
            return
        path = self._saving.ask("final photo", self._studio.painting.title, ending)
        if path is not None:
            write = partial(write_final, self._report.final, self.seen.correction)
            self._saving.write(SAVE, path, write)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.restyle()

    def restyle(self) -> None:
        """The size of the type, or of the window, has changed."""
        self._beside.setFixedWidth(min(round(look.px(SIDE_PX)), round(SIDE_SHARE * self.width())))

    def _lay_out(self) -> None:
        self.back = button("Back", self.left.emit)
        self.pdf = button("Save the report…", self.save_report, role="primary")
        self.as_shot = button("As shot", self._show)
        self.as_shot.setCheckable(True)
        self.as_shot.setAccessibleName("Show the final photo as the camera made it")
        self.as_shot.setToolTip(self.as_shot.accessibleName())
        self.jpeg = button("Save the final photo…", partial(self.save_final, ".jpg"))
        self.png = button("As PNG…", partial(self.save_final, ".png"))
        for made, kind in ((self.jpeg, "a JPEG"), (self.png, "a PNG")):
            words = f"Save the final photo, its colours put right, as {kind}"
            made.setAccessibleName(words)
            made.setToolTip(words)
        self._foot = flow(self.as_shot, self.jpeg, self.png)
        self._foot.setContentsMargins(12, 6, 12, 8)
        shown = QVBoxLayout()
        shown.setSpacing(0)
        shown.addWidget(self.view, 1)
        shown.addWidget(self._foot)
        self._beside = QWidget()
        column = QVBoxLayout(self._beside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        heading = text("The painting’s report", role="heading")
        heading.setContentsMargins(14, 10, 14, 6)
        column.addWidget(heading)
        column.addWidget(self.settings, 1)
        ends = QVBoxLayout()
        ends.setContentsMargins(14, 8, 14, 12)
        ends.setSpacing(8)
        ends.addWidget(self.trouble)
        ends.addWidget(self.honest)
        ends.addLayout(row(self.back, self.pdf, stretch=1))
        self.trouble.hide()
        self.honest.hide()
        column.addLayout(ends)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addLayout(shown, 1)
        whole.addWidget(self._beside)

    def _gathered(self, wish: Wish) -> ReportInput:
        """All there is to report now; nothing of it is read but the records. Raises PainterError."""
        from core.painting_report.gather import report_input

        painting = self._studio.painting
        told = told_of(painting, to_mend=Part.CHECKS in wish.parts)
        self.honest.setText(" ".join(told.trouble))
        self.honest.setVisible(bool(told.trouble))
        report = report_input(
            painting,
            by=wish.by,
            final=wish.final,
            tubes=self._studio.mixes.box.held.tubes,
            plan=told.plan,
            sittings=told.sittings,
        )
        return replace(report, look_for_card=wish.by_card, edition=wish.edition)

    def _photos(self) -> list[CanvasPhotoRecord]:
        return [photo for photo in self._studio.painting.canvas_photos() if not photo.is_blank]

    def _there(self) -> dict[Part, bool]:
        """Whether the painting has anything for a part."""
        report = self._report
        if report is None:
            return {}
        return {
            Part.REFERENCE: report.reference is not None,
            Part.DRAWING: report.drawing_svg is not None,
            Part.SITTINGS: bool(report.plan or report.sittings),
            Part.MIXES: bool(report.mixes or report.palettes),
            Part.CHECKS: bool(report.checks),
            Part.FINAL: report.final is not None,
        }

    def _keep(self, wish: Wish) -> None:
        self._studio.keep(SETTING, wish.to_json())

    def _refuse(self, sentence: str) -> None:
        self.trouble.setText(sentence)
        self.trouble.show()

    def _painting_changed(self) -> None:
        if self._on:
            wish = self.settings.wish()
            try:
                self._report = self._gathered(wish)
            except PainterError as trouble:
                self._refuse(str(trouble))
                return
            self.settings.show_photos(wish.final, self._photos(), self._there())
            self._look()

    def _look(self) -> None:
        """Look at the final photo, unless it is being looked at just so."""
        report = self._report
        if report is None:
            return
        wanted = report.final, report.size, report.look_for_card, report.edition
        if wanted == self._looked_at:
            return
        worker = self._studio.worker
        worker.cancel(LOOK)
        self._looked_at, self.seen = wanted, FinalSeen()
        self._show()
        if report.final is not None:
            self.view.show_words(LOOKING)
            worker.run(LOOK, partial(look_at_final, report), self._take_seen, self._not_seen, self._not_looked)

    def _take_seen(self, seen: FinalSeen) -> None:
        if self._on:
            self.seen = seen
            self._show()

    def _not_seen(self, sentence: str) -> None:
        self._take_seen(FinalSeen(problem=sentence))

    def _not_looked(self) -> None:
        """The painter has stopped it."""
        if self._on and self.view.words == LOOKING and not self._studio.worker.is_busy(LOOK):
            self._looked_at = None  # it is looked at again with the next change
            self.view.show_words(NOT_LOOKED)

    def _show(self) -> None:
        """The picture as it is put right, or as the camera made it while that is pressed."""
        seen = self.seen
        corrected = seen.correction is not None
        self._foot.setVisible(corrected)
        picture = seen.as_shot if corrected and self.as_shot.isChecked() else seen.picture
        if picture is not None:
            self.view.show_picture(picture)
        else:
            self.view.show_words(seen.problem or NO_FINAL)
        says = seen.says
        if seen.picture is not None and self._report is not None and _is_whole(self._report):
            says = (WHOLE, *says)
        self.settings.say(says, card=corrected)


def _is_whole(report: ReportInput) -> bool:
    """Whether the final photo is shown with what is around the canvas."""
    return report.final is not None and report.final.corners is None
