"""Where the canvas is too warm or too cool beside the reference, as a check found it."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QCheckBox

from app.actions import KeyButton
from app.questions.fold import Fold
from app.questions.parts import Line, Lines, text
from app.studio import Studio
from app.temperatures.found import WarmPassage
from app.temperatures.hung import warmth_entries
from app.temperatures.legend_rows import LegendRows
from app.view import Look

_NO_CHECK = "A check says where the canvas is too warm or too cool."
_OLDER = "This check is from before temperatures were compared: check the canvas again."
_NONE = "No passage of the canvas is clearly too warm or too cool."
_KEY = "Canvas minus reference, in T, beside what the whole is off by. Ochre is too warm, blue too cool:"


class CompareFold(Fold):
    """Follows the studio's findings."""

    go_to = Signal(float, float, float)
    chosen = Signal(int)

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("Canvas against reference")
        self._studio = studio
        self._passages: tuple[WarmPassage, ...] = ()
        self.within, self.notes, self.key = text(), text(), text(_KEY, "note")
        self.legend = LegendRows()
        self.lines = Lines()
        self.lines.chosen.connect(self._go)
        self.numbers = QCheckBox("Number them on the wall")
        self.numbers.toggled.connect(lambda on: studio.change_view(replace(studio.view, areas=on)))
        self.column.addWidget(KeyButton.of(actions["warmth_difference"], "Show the difference", wide=True))
        for part in (self.within, self.lines, self.numbers, self.notes, self.key, self.legend):
            self.column.addWidget(part)

    def refresh(self) -> None:
        with QSignalBlocker(self.numbers):
            self.numbers.setChecked(self._studio.view.areas)

    def refresh_findings(self) -> None:
        checked = self._studio.checked
        found = None if checked is None else checked.warmth
        self._passages = () if found is None else found.passages
        if checked is None or found is None:
            self.within.setText(_NO_CHECK if checked is None else _OLDER)
        elif found.refused:
            self.within.setText(found.refused)
        else:
            self.within.setText(found.within if self._passages else f"{found.within} {_NONE}")
        notes = "" if found is None else "\n\n".join(found.notes)
        self.notes.setText(notes)
        self.notes.setVisible(bool(notes))
        pictured = checked is not None and checked.warmth_difference is not None
        for part in (self.key, self.legend):
            part.setVisible(pictured)
        if pictured:
            self.legend.show_rows(difference_rows(self._studio))
        self.lines.show_lines([Line(passage.number, passage.say) for passage in self._passages])
        self.numbers.setVisible(bool(self._passages))

    def _go(self, index: int) -> None:
        passage = self._passages[index]
        self.chosen.emit(passage.number)
        self.go_to.emit(passage.x_mm, passage.y_mm, max(20.0, 1.6 * (passage.area_cm2 * 100) ** 0.5))


def difference_rows(studio: Studio) -> tuple[tuple[str, tuple[int, int, int]], ...]:
    """The colours of the difference, warmest first."""
    entries = warmth_entries(Look.WARMTH_DIFFERENCE, studio.view)
    return tuple((words, rgb) for words, rgb, _ in (*reversed(entries[:-1]), entries[-1]))
