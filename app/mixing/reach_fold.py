"""What the palette reaches of the reference: value against chroma, and the passages that lie beyond."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox

from app.mixing.fold import MixFold
from app.mixing.jobs import MOST_BEYOND, Reach
from app.mixing.reach_chart import ReachChart
from app.mixing.reads import NO_REFERENCE
from app.questions.parts import Line, Lines, text
from app.studio import Studio
from app.view import Subject

_FINDING = "Finding what the palette reaches…"
_CHART = (
    "Outlined: the strongest colours this palette makes at each value, of any hue. Dark: the colours of the reference. "
    "Dashed: the hue of the passage that is chosen below."
)


class ReachFold(MixFold):
    """``chosen``: number of the passage that is marked on the wall."""

    go_to = Signal(float, float, float)
    chosen_changed = Signal()

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio, "What the palette reaches", is_open=False)
        self.chosen: int | None = None
        self._of: Reach | None = None
        self.says, self.chart = text(_FINDING), ReachChart()
        self.shown = QCheckBox("Outline what is beyond on the wall")
        self.shown.toggled.connect(lambda on: self.set_view(unreached=on))
        self.lines = Lines()
        self.lines.chosen.connect(self._choose)
        for part in (self.says, self.chart, text(_CHART, "note"), self.shown, self.lines):
            self.column.addWidget(part)

    def show_now(self) -> None:
        with QSignalBlocker(self.shown):
            self.shown.setChecked(self.settings.unreached)
        if self.studio.source(Subject.REFERENCE) is None:
            self.says.setText(NO_REFERENCE)
            return
        found = self.reads.reach()
        self.says.setText(_FINDING if found is None else found.beyond.say())
        if found is not None and found is not self._of:
            self._show_map(found)
        numbers = [] if self._of is None else [each.number for each in self._of.beyond.passages[:MOST_BEYOND]]
        at = numbers.index(self.chosen) if self.chosen in numbers else None
        self.lines.mark(at)
        self.chart.show_chart(None if self._of is None else self._of.chart, at)

    def _show_map(self, found: Reach) -> None:
        self._of, self.chosen = found, None
        self.lines.show_lines([Line(each.number, each.say()) for each in found.beyond.passages[:MOST_BEYOND]])

    def _choose(self, index: int) -> None:
        if self._of is None:
            return
        passage = self._of.beyond.passages[index]
        self.chosen = None if passage.number == self.chosen else passage.number
        if self.chosen is not None:
            self.go_to.emit(passage.x_mm, passage.y_mm, 3 * passage.area_cm2**0.5 * 10)
        self.chosen_changed.emit()
        self.refresh()
