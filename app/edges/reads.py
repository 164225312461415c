"""What has been found of the reference for the edge question: away from the window, once, and kept; and the brief."""

from functools import partial
from typing import TYPE_CHECKING

from app.edges.hung import EdgeShown
from app.edges.jobs import find_edges, find_plan, find_seen
from app.edges.kept import kept_brief
from app.edges.words import EdgeReading
from app.reads import Reads
from app.view import Subject
from core.edge.brief import EdgeBrief, EyeSettings

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from app.studio import Studio
    from core.edge.plan import EdgePlan
    from core.edges import MeasuredReference

_NO_REFERENCE = "This painting has lost its reference: choose the photograph it is painted from."


class EdgeReads(Reads):
    """Of the reference alone."""

    def __init__(self, studio: "Studio") -> None:
        super().__init__(studio, "edges")
        self.brief: EdgeBrief = kept_brief(studio.painting)
        self._last: EdgePlan | None = None
        studio.history_changed.connect(self._read_kept)

    @property
    def eye(self) -> EyeSettings:
        """How the eye is placed: as the plan has it, else as it is looked at."""
        settings = self._studio.view.edges
        return self.brief.eye or EyeSettings(settings.viewing_mm, settings.strength)

    @property
    def shown(self) -> EdgeShown:
        """What the looks of the question are made by."""
        return EdgeShown(self.brief.foci, self.eye)

    def measured(self) -> "MeasuredReference | None":
        """The edges of the reference; they are begun when they are not there."""
        source = self._studio.source(Subject.REFERENCE)
        if source is None:
            return None
        return self._ask(
            "measuring", ("edges", source), partial(find_edges, source, self._studio.room.held_photo(source))
        )

    def plan(self) -> "EdgePlan | None":
        """The plan by the brief as it is now; None while it is being made."""
        measured, brief = self.measured(), self.brief
        if measured is None:
            return None
        seen = self._seen(measured) if brief.eye is not None and brief.foci else None
        waits = seen is None and brief.eye is not None and bool(brief.foci)
        found: EdgePlan | None = self._ask(
            "plan", ("plan", measured, brief), None if waits else partial(find_plan, measured, brief, seen)
        )
        self._last = found or self._last
        return found

    def newest_plan(self) -> "EdgePlan | None":
        """The plan, or while that is being made the one before it of the same edges."""
        found, measured = self.plan(), self.measured()
        if found is None and self._last is not None and measured is not None and self._last.edges is measured.edges:
            return self._last
        return found

    def at(self, x_mm: float, y_mm: float, within_mm: float) -> EdgeReading | None:
        """The edge nearest to a place; None where none is near, or they are not known yet."""
        measured, plan = self.measured(), self.newest_plan()
        point = None if measured is None else measured.finder.nearest(x_mm, y_mm, within_mm)
        return None if point is None or plan is None else EdgeReading.of(plan, point)

    def why_not(self) -> str:
        """Why there is no plan; empty while nothing is wrong."""
        source = self._studio.source(Subject.REFERENCE)
        if source is None:
            return _NO_REFERENCE
        return self._refused.get(("edges", source), "")

    def _seen(self, measured: "MeasuredReference") -> "NDArray[np.float64] | None":
        foci, eye = self.brief.foci, self.eye
        return self._ask("what the eye sees", ("seen", measured, foci, eye), partial(find_seen, measured, foci, eye))

    def _read_kept(self) -> None:
        """What is kept may have been changed, undone or done again."""
        kept = kept_brief(self._studio.painting)
        if kept != self.brief:
            self.brief = kept
            self.changed.emit()
