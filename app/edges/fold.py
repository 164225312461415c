"""What the folds of the edge question share: they change the brief, or how it is looked at."""

from dataclasses import replace

from PySide6.QtCore import Signal

from app.edges.settings import EdgeView
from app.questions.fold import Fold
from app.studio import Studio
from core.edge.brief import EdgeBrief


class EdgeFold(Fold):
    """Follows the studio. ``brief_wanted``: another brief, and the label of that step. ``refused``: why something
    cannot be, in a sentence."""

    brief_wanted = Signal(object, str)
    refused = Signal(str)

    def __init__(self, studio: Studio, heading: str, *, is_open: bool = True) -> None:
        super().__init__(heading, is_open=is_open)
        self.studio = studio
        self.heading.toggled.connect(self.refresh)

    @property
    def brief(self) -> EdgeBrief:
        return self.studio.edges.brief

    @property
    def settings(self) -> EdgeView:
        return self.studio.view.edges

    def refresh(self) -> None:
        if self.isVisible() and self.is_open:
            self.show_now()

    def show_now(self) -> None:
        """Bring what is seen up to date; only called while it is."""

    def set_view(self, **changes: object) -> None:
        """Look at the edges differently."""
        view = self.studio.view
        changed = replace(view.edges, **changes)  # type: ignore[arg-type]
        self.studio.change_view(replace(view, edges=changed))
