"""The edge panel: what is under the pointer, and folds for focal points, the plan, the brush, the eye, the page, and
what has strayed."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from app.edges.brush_fold import BrushFold
from app.edges.compare_fold import CompareFold
from app.edges.eye_fold import EyeFold
from app.edges.focus_fold import FocusFold
from app.edges.fold import EdgeFold
from app.edges.plan_fold import PlanFold
from app.edges.print_fold import PrintFold
from app.edges.reading_fold import ReadingFold
from app.questions.parts import Panel, text
from app.studio import Studio


class EdgePanel(Panel):
    """Follows the studio. ``brief_wanted`` and ``refused``: as its folds say them."""

    go_to = Signal(float, float, float)
    brief_wanted = Signal(object, str)
    refused = Signal(str)

    def __init__(self, studio: Studio, actions: dict[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__("Edge", parent)
        self.reading, self.focus = ReadingFold(studio, actions), FocusFold(studio, actions)
        self.plan, self.brush = PlanFold(studio, actions), BrushFold(studio, actions)
        self.eye, self.prints = EyeFold(studio, actions), PrintFold(studio)
        self.compare = CompareFold(studio, actions)
        groups: dict[str, tuple[EdgeFold, ...]] = {
            "Before painting": (self.reading, self.focus, self.plan, self.brush, self.eye, self.prints),
            "The canvas against it": (self.compare,),
        }
        for name, folds in groups.items():
            self.column.addWidget(text(name, "note"))
            for fold in folds:
                self.column.addWidget(fold)
                fold.opened.connect(partial(self.bring_up, fold))
                fold.brief_wanted.connect(self.brief_wanted)
                fold.refused.connect(self.refused)
        self.folds = tuple(fold for folds in groups.values() for fold in folds)
        for going in (self.focus, self.compare):
            going.go_to.connect(self.go_to)
        self.column.addStretch(1)
        studio.view_changed.connect(self.refresh)
        studio.ledge_changed.connect(self.refresh)
        studio.shares_changed.connect(self.refresh)
        studio.findings_changed.connect(self.compare.refresh_findings)
        self.compare.refresh_findings()

    def refresh(self) -> None:
        if self.isVisible():
            for fold in self.folds:
                fold.refresh()

    def showEvent(self, event: object) -> None:
        super().showEvent(event)  # type: ignore[arg-type]
        self.refresh()
