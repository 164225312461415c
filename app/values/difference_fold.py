"""Where the values of the canvas have strayed from the reference, as a check found them."""

from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QCheckBox

from app.actions import KeyButton
from app.findings import Area
from app.questions.fold import Fold
from app.questions.parts import Line, Lines, text
from app.studio import Studio

_KEY = (
    "Blue is too dark, ochre too light, by up to the figure in value steps; a line at each half step, dashed where too "
    "dark. Dark grey (?) is withheld."
)
_MOST_PROGRESS = 6


class DifferenceFold(Fold):
    """Follows the studio's findings."""

    go_to = Signal(float, float, float)

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("Difference")
        self._studio = studio
        self._areas: tuple[Area, ...] = ()
        self.whole, self.within, self.progress = text(role="subheading"), text(), text(role="note")
        self.key = text(_KEY, "note")
        self.lines = Lines()
        self.lines.chosen.connect(self._go)
        self.numbers = QCheckBox("Number them on the wall")
        self.numbers.toggled.connect(lambda on: studio.change_view(replace(studio.view, areas=on)))
        self.column.addWidget(KeyButton.of(actions["difference"], "Show the difference", wide=True))
        for part in (self.whole, self.within, self.key, self.numbers, self.lines, self.progress):
            self.column.addWidget(part)

    def refresh(self) -> None:
        self.numbers.setChecked(self._studio.view.areas)

    def refresh_findings(self) -> None:
        checked = self._studio.checked
        self._areas = checked.findings.areas if checked is not None else ()
        if checked is None:
            self.within.setText("A check says where the canvas is too light or too dark.")
        else:
            sure = checked.findings.value_uncertainty
            give = f" Each value is good to ± {sure:.1f} step." if sure is not None else ""
            self.within.setText(checked.findings.within + give)
        whole = "" if checked is None else checked.findings.value_whole
        progress = () if checked is None else checked.progress[:_MOST_PROGRESS]
        for label, words in ((self.whole, whole), (self.progress, "\n".join(progress))):
            label.setText(words)
            label.setVisible(bool(words))
        self.key.setVisible(checked is not None and checked.difference is not None)
        self.lines.show_lines([Line(area.number, area.say) for area in self._areas])
        self.numbers.setVisible(bool(self._areas))

    def _go(self, index: int) -> None:
        area = self._areas[index]
        self._studio.choose(area=area.number)
        self.go_to.emit(area.x_mm, area.y_mm, max(20.0, 1.6 * (area.area_cm2 * 100) ** 0.5))
