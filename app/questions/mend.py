"""The list to mend: the largest first, each with its place on the wall."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.findings import Mend
from app.questions.counting_fold import CountingFold
from app.questions.parts import Line, Lines, Panel, text
from app.studio import Studio

_SPAN_MM = 40.0


class MendPanel(Panel):
    """Follows the studio's findings."""

    go_to = Signal(float, float, float)  # mm, mm, across mm

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__("To mend", parent)
        self._studio = studio
        self._mend: tuple[Mend, ...] = ()
        self._at: int | None = None
        self.intro = text(role="subheading")
        self.lines = Lines()
        self.lines.chosen.connect(self._go)
        self.certainty_heading = text("How sure this is", "subheading")
        self.certainty = text(role="note")
        self.counting = CountingFold(studio)
        for part in (self.intro, self.lines, self.counting, self.certainty_heading, self.certainty):
            self.column.addWidget(part)
        self.column.addStretch(1)
        studio.findings_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        findings = self._studio.checked.findings if self._studio.checked is not None else None
        self._mend, self._at = (findings.mend_by(self.counting.weights) if findings is not None else ()), None
        self.counting.refresh()
        if findings is None:
            self.intro.setText("The list comes with a check.")
        elif self._mend:
            self.intro.setText("What counts most, first")
        else:
            self.intro.setText("Nothing to mend was found.")
        self.lines.show_lines([Line(m.number, m.say, m.question) for m in self._mend])
        certainty = findings.certainty if findings is not None else ()
        self.certainty.setText("\n\n".join(certainty))
        self.certainty_heading.setVisible(bool(certainty))
        self.certainty.setVisible(bool(certainty))

    def step(self, by: int) -> bool:
        """Go to the next or the one before; False when there is nothing on the list."""
        if not self._mend:
            return False
        start = -1 if self._at is None and by > 0 else (self._at or 0)
        self.lines.choose((start + by) % len(self._mend))
        self.ensureWidgetVisible(self.lines.lines[self._at or 0])
        return True

    def _go(self, index: int) -> None:
        self._at = index
        mend = self._mend[index]
        self.go_to.emit(mend.x_mm, mend.y_mm, self._span(mend))

    def _span(self, mend: Mend) -> float:
        size = self._studio.painting.size
        return min(_SPAN_MM, size.width_mm / 4, size.height_mm / 4)
