"""The landmarks as a table."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QComboBox

from app.measuring import Measuring
from app.questions.fold import Fold
from app.questions.landmark_rows import LandmarkRows
from app.questions.parts import button, flow, row, text
from app.studio import Studio
from core.drawing.drawing import Landmark
from core.drawing.landmark_table import Row, Strayed, as_text, landmark_rows
from core.drawing.proportion import length_words

_SPAN_MM = 25.0


class TableFold(Fold):
    """Every landmark: where it lies in the reference and on the painting, and how far from another one."""

    go_to = Signal(float, float, float)
    said = Signal(str)

    def __init__(self, studio: Studio, measuring: Measuring) -> None:
        super().__init__("Landmarks")
        self._studio, self._measuring = studio, measuring
        self._table: tuple[Row, ...] = ()
        self._names: tuple[str, ...] = ()
        self.says = text(role="note")
        self.base = QComboBox()
        self.base.setAccessibleName("Landmark that distances are taken to")
        self.base.setMinimumContentsLength(10)
        self.base.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.base.currentIndexChanged.connect(lambda _: self.refresh())
        self.copy = button("Copy the table", self._copy)
        self.copy.setAccessibleName("Copy the table of landmarks")
        self.rows = LandmarkRows()
        self.rows.chosen.connect(self._go)
        self.to = text("Distance to")
        self.to.setWordWrap(False)
        self.column.addLayout(row(self.to, self.base, stretch=1))
        self.column.addWidget(self.says)
        self.column.addWidget(flow(self.copy))
        self.column.addWidget(self.rows)

    def refresh(self) -> None:
        drawing = self._studio.drawing
        landmarks = drawing.landmarks if drawing is not None else ()
        self._name(landmarks)
        base = self.base.currentIndex() - 1
        self._table = landmark_rows(landmarks, strayed=self._strayed(), base=base if base >= 0 else None)
        self.rows.show_rows(self._table, self._measuring.unit)
        for part in (self.to, self.base, self.copy, self.rows):
            part.setVisible(bool(landmarks))
        self.says.setText(self._words(landmarks))

    def _name(self, landmarks: tuple[Landmark, ...]) -> None:
        names = tuple(mark.name for mark in landmarks)
        if names != self._names:
            self._names = names
            with QSignalBlocker(self.base):
                chosen = self.base.currentText()
                self.base.clear()
                self.base.addItems(["the one before", *names])
                self.base.setCurrentIndex(max(self.base.findText(chosen), 0))

    def _strayed(self) -> list[Strayed]:
        checked = self._studio.checked
        marks = checked.findings.landmarks if checked is not None else ()
        return [Strayed(m.name, m.x_mm, m.y_mm, m.dx_mm, m.dy_mm, m.confidence) for m in marks]

    def _words(self, landmarks: tuple[Landmark, ...]) -> str:
        if not landmarks:
            return "A drawing with landmarks has them listed here, with their places and distances."
        if self._studio.checked is None:
            return "A check of the canvas fills in the painting’s side."
        withheld = sum(each.painted is None for each in self._table)
        sure = self._measuring.canvas_uncertainty_mm
        parts = ["Off: to the right and down is +."]
        if sure is not None:
            parts.append(f"The canvas lies flat to within {length_words(max(sure, 0.1), 'mm')}.")
        if withheld:
            parts.append(f"– stands where too little could be measured to say ({withheld} of {len(self._table)}).")
        return " ".join(parts)

    def _go(self, index: int) -> None:
        x, y = self._table[index].place
        self.go_to.emit(x, y, _SPAN_MM)

    def _copy(self) -> None:
        QGuiApplication.clipboard().setText(as_text(self._table, self._measuring.unit))
        self.said.emit("The table of landmarks is copied: paste it into a spreadsheet or a letter.")
