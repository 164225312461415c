"""The mix panel: a passage and the mix for it, the palette, the mixing list, a string, what is reached, own tubes."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from app.mixing.fold import MixFold
from app.mixing.list_fold import ListFold
from app.mixing.own_fold import OwnFold
from app.mixing.palette_fold import PaletteFold
from app.mixing.reach_fold import ReachFold
from app.mixing.recipe_fold import RecipeFold
from app.mixing.string_fold import StringFold
from app.questions.parts import Panel
from app.studio import Studio


class MixPanel(Panel):
    """Follows the studio."""

    go_to = Signal(float, float, float)

    def __init__(self, studio: Studio, actions: dict[str, QAction], parent: QWidget | None = None) -> None:
        super().__init__("Mix", parent)
        self.recipe, self.laid_out = RecipeFold(studio, actions), PaletteFold(studio)
        self.list, self.string, self.reach = ListFold(studio), StringFold(studio), ReachFold(studio)
        self.own = OwnFold(studio)
        for fold in self.folds:
            self.column.addWidget(fold)
            fold.opened.connect(partial(self.bring_up, fold))
        for going in (self.list, self.reach):
            going.go_to.connect(self.go_to)
        self.column.addStretch(1)
        studio.view_changed.connect(self.refresh)
        studio.shares_changed.connect(self.refresh)

    @property
    def folds(self) -> tuple[MixFold, ...]:
        return self.recipe, self.laid_out, self.list, self.string, self.reach, self.own

    def refresh(self) -> None:
        if self.isVisible():
            for fold in self.folds:
                fold.refresh()

    def showEvent(self, event: object) -> None:
        super().showEvent(event)  # type: ignore[arg-type]
        self.refresh()
