"""The sittings panel: the plan, the sitting at hand, drying, cautions, and the plan on paper and in the calendar."""

from functools import partial

from PySide6.QtWidgets import QWidget

from app import look
from app.questions.parts import Panel, Stepper, text
from app.sittings.cautions_fold import CautionsFold
from app.sittings.drying_fold import DryingFold
from app.sittings.fold import SittingFold
from app.sittings.paper_fold import PaperFold
from app.sittings.plan_fold import PlanFold
from app.sittings.reads import LOOK_ONLY
from app.sittings.this_fold import ThisFold
from app.studio import Studio

_STEP_PX = 52


class SittingsPanel(Panel):
    """Follows the studio."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__("Sittings", parent)
        self._studio = studio
        self.look_only = text(LOOK_ONLY)
        self.column.addWidget(self.look_only)
        self.plan, self.this, self.drying = PlanFold(studio), ThisFold(studio), DryingFold(studio)
        self.cautions, self.paper = CautionsFold(studio), PaperFold(studio)
        for fold in self.folds:
            self.column.addWidget(fold)
            fold.opened.connect(partial(self.bring_up, fold))
        self.column.addStretch(1)
        studio.view_changed.connect(self.refresh)
        studio.sittings.changed.connect(self.refresh)

    @property
    def folds(self) -> tuple[SittingFold, ...]:
        return self.plan, self.this, self.drying, self.cautions, self.paper

    def refresh(self) -> None:
        if self.isVisible():
            self.look_only.setVisible(self._studio.painting.read_only)
            for fold in self.folds:
                fold.refresh()

    def restyle(self) -> None:
        for stepper in self.findChildren(Stepper):
            for each in (stepper.less, stepper.more):
                each.setFixedWidth(round(look.px(_STEP_PX)))
        self.refresh()

    def commit(self) -> None:
        """Keep what is written and not kept yet."""
        for fold in self.folds:
            fold.commit()

    def showEvent(self, event: object) -> None:
        super().showEvent(event)  # type: ignore[arg-type]
        self.refresh()
