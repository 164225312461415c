"""The brush: what kind an edge is to be, painted along it by hand; it counts before all else."""

from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction

from app.edges.fold import EdgeFold
from app.questions.brush_parts import BrushParts
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
        self.parts = BrushParts("Brush on the plan", EdgeKind, _HOW, actions)
        self.brush, self.kinds, self.width_mm = self.parts.brush, self.parts.choices, self.parts.width_mm
        self.says, self.clear = self.parts.says, self.parts.clear
        self.parts.wanted.connect(self.brush_wanted)
        self.parts.chosen.connect(lambda kind: self.set_view(kind=kind))
        self.parts.widened.connect(lambda width_mm: self.set_view(brush_mm=width_mm))
        self.parts.cleared.connect(self._clear)
        self.column.addWidget(self.parts)

    def show_now(self) -> None:
        self.parts.show_brush(self.settings.kind, self.settings.brush_mm)
        self.parts.show_strokes(len(self.brief.brushed), "the plan")

    def _clear(self) -> None:
        self.brief_wanted.emit(replace(self.brief, brushed=()), "cleared the brushed edges")
