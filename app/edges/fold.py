"""What the folds of the edge question share: they change the brief, or how it is looked at."""

from dataclasses import replace

from PySide6.QtCore import Signal

from app.edges.settings import EdgeView
from app.questions.fold import SeenFold
from core.edge.brief import EdgeBrief


class EdgeFold(SeenFold):
    """Follows the studio. ``brief_wanted``: another brief, and the label of that step. ``refused``: why something
    cannot be, in a sentence."""

    brief_wanted = Signal(object, str)
    refused = Signal(str)

    @property
    def brief(self) -> EdgeBrief:
        return self.studio.edges.brief

    @property
    def settings(self) -> EdgeView:
        return self.studio.view.edges

    def set_view(self, **changes: object) -> None:
        """Look at the edges differently."""
        view = self.studio.view
        changed = replace(view.edges, **changes)  # type: ignore[arg-type]
        self.studio.change_view(replace(view, edges=changed))
