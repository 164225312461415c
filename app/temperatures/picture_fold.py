"""The pictures of warmth: against the surround, and near-neutrals drawn apart; how they are read and how strongly."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QCheckBox, QSlider

from app.actions import KeyButton
from app.questions.fold import Fold
from app.questions.parts import flow, text
from app.studio import Studio
from app.temperatures.hung import warmth_entries
from app.temperatures.legend_rows import LegendRows
from app.temperatures.reading_fold import SurroundStepper, set_warmth
from app.temperatures.settings import FACTORS, STRENGTHS, nearest
from app.view import Look

_WARMTH = (
    "Each place against what lies round it, in T: ochre is warmer, blue cooler, the darker the further. Grey also "
    "where the white balance leaves it undecided."
)
_LEAN = (
    "Near-neutrals keep their lightness and are drawn apart from their own mean, so that it shows which way each "
    "leans. The colours are not those of the picture."
)


class PictureFold(Fold):
    """Follows the view."""

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("Pictures of warmth")
        self._studio = studio
        self.surround, self.legend = SurroundStepper(studio), LegendRows()
        self.strength_says, self.factor_says = text(role="note"), text(role="note")
        self.strength = _slider("How near together the bands of warmth are drawn", len(STRENGTHS))
        self.factor = _slider("How far near-neutrals are drawn apart", len(FACTORS))
        self.strength.valueChanged.connect(lambda at: self._set(strength=STRENGTHS[at]))
        self.factor.valueChanged.connect(lambda at: self._set(factor=FACTORS[at]))
        self.whole = QCheckBox("All colours, not only these")
        self.whole.toggled.connect(lambda on: self._set(whole=on))
        self.column.addWidget(flow(KeyButton.of(actions["warmth"], "Warmth")))
        for part in (text(_WARMTH, "note"), self.legend, self.strength_says, self.strength, self.surround):
            self.column.addWidget(part)
        self.column.addWidget(flow(KeyButton.of(actions["lean"], "Lean of neutrals")))
        for each in (text(_LEAN, "note"), self.factor_says, self.factor, self.whole):
            self.column.addWidget(each)
        self.heading.toggled.connect(self.refresh)

    def refresh(self) -> None:
        if not (self.isVisible() and self.is_open):
            return
        settings = self._studio.view.temperatures
        self.surround.refresh()
        with QSignalBlocker(self.strength), QSignalBlocker(self.factor), QSignalBlocker(self.whole):
            self.strength.setValue(nearest(STRENGTHS, settings.strength))
            self.factor.setValue(nearest(FACTORS, settings.factor))
            self.whole.setChecked(settings.whole)
        self.strength_says.setText(f"Strength × {settings.strength:g}: smaller differences show the stronger it is.")
        self.factor_says.setText(f"Drawn apart × {settings.factor:g}")
        entries = warmth_entries(Look.WARMTH, self._studio.view)
        shown = (*reversed(entries[:-1]), entries[-1])
        self.legend.show_rows(tuple((words, colour) for words, colour, _ in shown))

    def _set(self, **changes: float | bool) -> None:
        set_warmth(self._studio, replace(self._studio.view.temperatures, **changes))  # type: ignore[arg-type]


def _slider(name: str, many: int) -> QSlider:
    made = QSlider(Qt.Orientation.Horizontal)
    made.setRange(0, many - 1)
    made.setPageStep(1)
    made.setAccessibleName(name)
    return made
