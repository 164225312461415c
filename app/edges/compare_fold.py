"""Where the edges of the canvas are too hard or too soft beside the plan, as a check found it."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QCheckBox

from app.actions import KeyButton
from app.edges.fold import EdgeFold
from app.edges.found import FoundStretch
from app.questions.parts import Line, Lines, flow, text
from app.studio import Studio

_NO_CHECK = "This comes with a check: it says which edges of the canvas are too hard or too soft."
_OLDER = "This check is from before edges were compared: check the canvas again."
_NONE = "No stretch of edge is clearly too hard or too soft."
_CHANGED = "The plan was changed since this check: check again to hold the canvas against it."
_LEAST_SPAN_MM, _MOST_SPAN_MM = 25.0, 100.0
MOST_TOLD = 20
"""The heaviest; more would hide the painting."""


class CompareFold(EdgeFold):
    """Follows the studio's findings."""

    go_to = Signal(float, float, float)
    chosen = Signal(int)

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__(studio, "Canvas against plan")
        self._stretches: tuple[FoundStretch, ...] = ()
        self.says, self.lines, self.more = text(), Lines(), text(role="note")
        self.lines.chosen.connect(self._go)
        self.numbers = QCheckBox("Number them on the wall")
        self.numbers.toggled.connect(lambda on: self.set_view(numbers=on))
        self.check = flow(KeyButton.of(actions["check"], "Check the canvas"))
        for part in (self.says, self.check, self.numbers, self.lines, self.more):
            self.column.addWidget(part)

    def show_now(self) -> None:
        with QSignalBlocker(self.numbers):
            self.numbers.setChecked(self.settings.numbers)
        ask = self._ask()
        checked = self.studio.checked
        told = () if checked is None else checked.edge_says
        if not ask and not self._stretches and not told:
            told = (_NONE,)
        self.says.setText("\n\n".join([*([ask] if ask else []), *told]))
        self.says.setVisible(bool(ask or told))
        self.check.setVisible(bool(ask))

    def refresh_findings(self) -> None:
        checked = self.studio.checked
        self._stretches = (checked.stretches or ()) if checked is not None else ()
        told = self._stretches[:MOST_TOLD]
        self.lines.show_lines([Line(each.number, each.say, _of_reference(each)) for each in told])
        left = len(self._stretches) - len(told)
        self.more.setText(f"And {left} more, shorter or fainter.")
        self.more.setVisible(left > 0)
        self.numbers.setVisible(bool(self._stretches))
        self.refresh()

    def _ask(self) -> str:
        """Why the canvas should be checked, or checked anew; empty when it need not be."""
        checked = self.studio.checked
        if checked is None:
            return _NO_CHECK
        if checked.stretches is None:
            return _OLDER
        then, now = checked.edge_brief, self.brief
        # What the painter wishes of the budget is nothing that the canvas is held against.
        if then is not None and replace(then, wanted_hard=None) != replace(now, wanted_hard=None):
            return _CHANGED
        return ""

    def _go(self, index: int) -> None:
        stretch = self._stretches[index]
        self.chosen.emit(stretch.number)
        self.go_to.emit(stretch.x_mm, stretch.y_mm, min(max(_LEAST_SPAN_MM, 1.6 * stretch.length_mm), _MOST_SPAN_MM))


def _of_reference(stretch: FoundStretch) -> str:
    """The figure that its sentence does not have."""
    return f"In the reference {stretch.reference_mm:.1f} mm."
