"""The brush: what kind an edge is to be, painted along it by hand; it counts before all else."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QButtonGroup, QGridLayout, QPushButton, QRadioButton

from app.actions import KeyButton
from app.edges.fold import EdgeFold
from app.edges.settings import BRUSHES_MM, can_step, stepped
from app.questions.parts import Stepper, button, flow, text
from app.studio import Studio
from core.edge.kinds import EdgeKind

_HOW = (
    "Choose a kind and brush along an edge in the reference. It counts before the rest of the plan, a later stroke "
    "before an earlier one; it may also make an edge harder than the reference has it. Undo takes the last one back."
)


class BrushFold(EdgeFold):
    """Follows the strokes that are kept."""

    brush_wanted = Signal()

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__(studio, "Brush the kinds by hand", is_open=False)
        self.brush = QPushButton("Brush on the plan")
        self.brush.setCheckable(True)
        self.brush.clicked.connect(lambda _=False: self.brush_wanted.emit())
        self.kinds = {kind: QRadioButton(str(kind).capitalize()) for kind in EdgeKind}
        group = QButtonGroup(self)
        for kind, radio in self.kinds.items():
            group.addButton(radio)
            radio.clicked.connect(lambda _=False, kind=kind: self.set_view(kind=kind))
        self.width_mm, self.says = Stepper("width of the brush"), text()
        self.width_mm.stepped.connect(
            lambda by: self.set_view(brush_mm=stepped(BRUSHES_MM, self.settings.brush_mm, by))
        )
        self.clear = button("Clear all strokes", self._clear)
        self.column.addWidget(flow(self.brush))
        places = QGridLayout()
        for number, radio in enumerate(self.kinds.values()):
            places.addWidget(radio, number // 2, number % 2)
        self.column.addLayout(places)
        for part in (self.width_mm, text(_HOW, "note"), self.says):
            self.column.addWidget(part)
        self.column.addWidget(flow(KeyButton.of(actions["undo"], "Undo"), self.clear))

    def show_now(self) -> None:
        brush_mm, many = self.settings.brush_mm, len(self.brief.brushed)
        chosen = self.kinds[self.settings.kind]
        with QSignalBlocker(chosen):
            chosen.setChecked(True)
        self.width_mm.show_number(
            f"brush {brush_mm:g} mm",
            can_less=can_step(BRUSHES_MM, brush_mm, -1),
            can_more=can_step(BRUSHES_MM, brush_mm, 1),
        )
        self.says.setText(f"{many} stroke{'' if many == 1 else 's'} over the plan." if many else "No strokes yet.")
        self.clear.setEnabled(many > 0)

    def _clear(self) -> None:
        self.brief_wanted.emit(replace(self.brief, brushed=()), "cleared the brushed edges")
