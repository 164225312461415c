"""The foot of the tracing page: what the tool in hand does, and what belongs to it alone."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QButtonGroup, QFrame, QHBoxLayout, QLabel, QPushButton, QSlider, QWidget

from app import look
from app.questions.parts import Stepper, button, text
from app.tracing.eraser import RADII_MM
from app.tracing.tool import Tool


class TraceFoot(QFrame):
    """As high for every tool, so that the picture stays where it is."""

    radius_stepped = Signal(int)
    take_out_wished = Signal()
    remove_wished = Signal()
    amount_chosen = Signal(float)  # of suggested lines, 0-1
    take_all_wished = Signal()
    brush_chosen = Signal(bool)  # whether it takes suggested lines, or leaves them out

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        look.set_role(self, "panel")
        self.hint = text(role="note")
        self.hint.setAlignment(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
        self.brush = Stepper("size of the eraser")
        self.take_out = button("Take out the point", self.take_out_wished.emit)
        self.remove = button("Remove the line", self.remove_wished.emit)
        self.brush.stepped.connect(self.radius_stepped)
        self.few, self.many = QLabel("few"), QLabel("many lines")
        self.amount = QSlider(Qt.Orientation.Horizontal)
        self.amount.setRange(0, 100)
        self.amount.setAccessibleName("Few or many suggested lines")
        self.amount.valueChanged.connect(lambda value: self.amount_chosen.emit(value / 100))
        self.takes, self.leaves = QPushButton("Take"), QPushButton("Leave out")
        brushes = QButtonGroup(self)
        for each, takes in ((self.takes, True), (self.leaves, False)):
            each.setCheckable(True)
            brushes.addButton(each)
            each.clicked.connect(lambda _=False, takes=takes: self.brush_chosen.emit(takes))
        self.takes.setChecked(True)
        self.takes.setToolTip("The brush takes lines into the drawing")
        self.leaves.setToolTip("The brush leaves lines out")
        self.take_all = button("Take all shown", self.take_all_wished.emit)
        self._suggesting = (self.few, self.amount, self.many, self.takes, self.leaves, self.take_all)
        beside = QHBoxLayout(self)
        beside.setContentsMargins(12, 4, 8, 4)
        beside.setSpacing(6)
        beside.addWidget(self.hint, 1)
        for part in (*self._suggesting, self.brush, self.take_out, self.remove):
            beside.addWidget(part)
        for within in self.findChildren(QWidget):
            if within.focusPolicy() != Qt.FocusPolicy.NoFocus:
                within.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # a click leaves the keyboard with the picture
        self.restyle()

    def show_tool(self, chosen: Tool) -> None:
        crowded = chosen.name == "trace_suggest"
        self.hint.setText(chosen.hint if crowded else f"{chosen.hint} Space or two fingers move the picture.")
        self.brush.setVisible(chosen.name == "trace_eraser")
        for each in (self.take_out, self.remove):
            each.setVisible(chosen.name == "trace_points")
        for part in self._suggesting:
            part.setVisible(chosen.name == "trace_suggest")

    def show_radius(self, radius_mm: float) -> None:
        at = RADII_MM.index(radius_mm)
        self.brush.show_number(f"{2 * radius_mm:g} mm wide", can_less=at > 0, can_more=at < len(RADII_MM) - 1)

    def show_chosen(self, *, line: bool, node: bool) -> None:
        """What of the drawing is chosen, and can be taken away."""
        self.take_out.setEnabled(node)
        self.remove.setEnabled(line)

    def restyle(self) -> None:
        """The size of the type has changed."""
        self.brush.setFixedWidth(round(look.px(250)))
        self.amount.setFixedWidth(round(look.px(170)))
        lines = 2 if look.scale() == 1.0 else 3
        self.setFixedHeight(max(look.target_px() + 12, lines * QFontMetrics(look.font("note")).height() + 10))
