"""The edge question as part of the desk: what its panel and its actions do, and what lies over the pictures."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from app import look
from app.checking import Say
from app.dialogs import Dialogs
from app.edges.compare_fold import MOST_TOLD
from app.edges.jobs import PageOrder, write_page
from app.edges.kept import MOST_FOCI, keep_brief, with_focus, with_stroke
from app.edges.pressing import HOLD_PX, EdgePressing, For
from app.edges.words import EdgeReading
from app.measures import onto
from app.message import Offer
from app.pointers import Teller
from app.questions.edge import EdgePanel
from app.saving import Saving
from app.studio import Studio
from app.view import EDGE_LOOKS, Hung, Look, Question, Subject
from app.view_actions import with_panel
from app.wall.edge_lines import PlanLines
from app.wall.edge_stretches import NumberedStretch, NumberedStretches
from app.wall.focus_rings import FocusRings
from app.wall.grasp import CanvasTool
from app.wall.hanging import Overlay
from app.wall.wall_view import WallView
from core.edge.brief import Brushed, EdgeBrief, FocalPoint, usual_radius_mm
from core.errors import PainterError

PRINT = "saving the edge plan"
_READING = "The edges are still being measured. Try again in a moment."
_LOOK_ONLY = "This painting is open only to look, so its edges cannot be planned. Open it to work in it."
_MANY = f"There are {MOST_FOCI} focal points already: take one away first."
_BESIDE = "That is beside the canvas. Press on it."
_NO_FOCUS = "The eye has to rest somewhere: put a focal point first."
_NEAREST_MM = 1.0


class Edging(QObject):
    """``handlers`` are those of the desk's actions; ``teller`` tells of the place under the pointer."""

    def __init__(
        self,
        studio: Studio,
        panel: EdgePanel,
        wall: WallView,
        otherwise: CanvasTool,
        dialogs: Dialogs,
        say: Say,
        focus_wall: Callable[[], None],
        rest: Callable[[], None],
        desk: QWidget,
    ) -> None:
        super().__init__(desk)
        self._studio, self._panel, self._wall, self._say = studio, panel, wall, say
        self._saving = Saving(studio.worker, dialogs, say, desk)
        self._photo: int | None = None
        self._stretch: int | None = None
        self.pressing = EdgePressing(studio, wall, otherwise, say, focus_wall, rest, self)
        panel.brief_wanted.connect(self.keep)
        panel.refused.connect(say)
        panel.focus.point_wanted.connect(partial(self.pressing.toggle, For.FOCUS))
        panel.brush.brush_wanted.connect(self.brush)
        panel.prints.page_wanted.connect(self.print_page)
        panel.compare.chosen.connect(self._choose)
        self.pressing.focus_put.connect(lambda x, y: self.put((x, y)))
        self.pressing.focus_set.connect(self._set)
        self.pressing.focus_pressed.connect(panel.focus.choose)
        self.pressing.brushed.connect(self._brushed)
        self.pressing.changed.connect(self._show_pressing)
        studio.shares_changed.connect(self._read_again)
        studio.laid_over.append(self.laid_over)

    def handlers(self) -> dict[str, Callable[[], object]]:
        return {"focus_at_pointer": self.put_at_pointer, "seen": self.show_seen}

    @property
    def teller(self) -> Teller:
        return Teller(self._show, self._written)

    def leave(self) -> None:
        self.pressing.leave()

    def keep(self, brief: EdgeBrief, label: str) -> bool:
        """Keep another brief, as a step that can be undone; when that cannot be done it is said."""
        if brief == self._studio.edges.brief:
            return True
        if self._studio.painting.read_only:
            self._say(_LOOK_ONLY)
            self._panel.refresh()
            return False
        try:
            keep_brief(self._studio.painting, brief, label)
        except PainterError as trouble:
            self._say(str(trouble))
            self._panel.refresh()
            return False
        return True

    def put(self, at: tuple[float, float]) -> None:
        """Put a focal point of the usual radius."""
        brief, size = self._studio.edges.brief, self._studio.painting.size
        if len(brief.foci) >= MOST_FOCI:
            self._say(_MANY)
        elif onto(at, size) != (float(at[0]), float(at[1])):
            self._say(_BESIDE)
        else:
            focus = FocalPoint(round(at[0], 1), round(at[1], 1), round(usual_radius_mm(size)) or 1.0)
            if self.keep(replace(brief, foci=(*brief.foci, focus)), "put a focal point"):
                self._panel.focus.choose(len(brief.foci))

    def put_at_pointer(self) -> None:
        """Put one where the pointer is, else in the middle of what is seen; the panel shows it."""
        view, sight = self._studio.view, self._wall.sight
        shown = replace(view.edges, rings=True)
        self._studio.change_view(replace(view, question=Question.EDGE, edges=shown))
        self.put(self.pressing.pointer or (sight.x_mm, sight.y_mm))

    def show_seen(self) -> None:
        """The reference as the eye sees it, with the panel beside it; or colour again."""
        view = with_panel(Look.SEEN, Question.EDGE, self._studio.view)
        self._studio.change_view(view)
        if view.chosen.look is Look.SEEN:
            self._panel.eye.open()
            if not self._studio.edges.brief.foci:
                self._say(_NO_FOCUS, Offer("Press on the picture", partial(self.pressing.toggle, For.FOCUS)))

    def brush(self) -> None:
        """Take the brush up, over the plan, or put it away."""
        view = self._studio.view
        if self.pressing.at is not For.BRUSH and all(hung.look is not Look.EDGE_PLAN for hung in view.hung):
            self._studio.change_view(view.toggle_look(Look.EDGE_PLAN))
        self.pressing.toggle(For.BRUSH)

    def print_page(self) -> None:
        """Write the page of the plan."""
        reads, title = self._studio.edges, self._studio.painting.title
        measured, plan = reads.measured(), reads.plan()
        if measured is None or plan is None:
            self._say(reads.why_not() or _READING)
            return
        path = self._saving.ask("edge plan", title)
        if path is not None:
            order = PageOrder(measured, plan, self._studio.view.edges.paper, title)
            self._saving.write(PRINT, path, partial(write_page, order))

    def laid_over(self, hung: Hung) -> Sequence[Overlay]:
        """The lines over the plan's ground; focal points; and while the panel is open, what a check found."""
        studio, view = self._studio, self._studio.view
        found: list[Overlay] = []
        if hung.look is Look.EDGE_PLAN and hung.subject is Subject.REFERENCE:
            plan = studio.edges.newest_plan()
            found += [] if plan is None else [PlanLines(plan)]
        is_open = view.question is Question.EDGE
        if view.edges.rings and (is_open or hung.look in EDGE_LOOKS):
            held = None if self.pressing.held is None else self.pressing.held[0]
            foci = tuple((n + 1, focus) for n, focus in enumerate(studio.edges.brief.foci) if n != held)
            chosen = self._panel.focus.chosen
            found += [FocusRings(foci, None if chosen is None else chosen + 1)] if foci else []
        return [*found, *self._stretches(hung)] if is_open else found

    def _stretches(self, hung: Hung) -> list[Overlay]:
        """Over the canvas: all, or the one that was chosen."""
        view, checked = self._studio.view, self._studio.checked
        if view.canvas_photo != self._photo:
            self._photo, self._stretch = view.canvas_photo, None
        found = checked.stretches if checked is not None else None
        if hung.subject is not Subject.CANVAS or not found:
            return []
        shown = tuple(
            NumberedStretch(str(each.number), each.points_mm, (each.x_mm, each.y_mm))
            for each in found[:MOST_TOLD]
            if view.edges.numbers or each.number == self._stretch
        )
        return [NumberedStretches(shown, None if self._stretch is None else str(self._stretch))] if shown else []

    def _choose(self, number: int) -> None:
        self._photo, self._stretch = self._studio.view.canvas_photo, number
        self._studio.wall_changed.emit()

    def _set(self, index: int, focus: FocalPoint, label: str) -> None:
        self._panel.focus.choose(index)
        self.keep(with_focus(self._studio.edges.brief, index, focus), label)

    def _brushed(self, stroke: Brushed) -> None:
        self.keep(with_stroke(self._studio.edges.brief, stroke), f"brushed edges {stroke.kind}")

    def _read(self, x_mm: float, y_mm: float) -> EdgeReading | None:
        within_mm = max(look.px(HOLD_PX) / self._wall.sight.zoom, _NEAREST_MM)
        return self._studio.edges.at(x_mm, y_mm, within_mm)

    def _show(self, at: tuple[float, float] | None) -> None:
        self._panel.reading.show_reading(None if at is None else self._read(*at))

    def _read_again(self) -> None:
        """The plan has changed under the pointer."""
        if self._studio.view.question is Question.EDGE and self.pressing.pointer is not None:
            self._show(self.pressing.pointer)

    def _written(self, x_mm: float, y_mm: float) -> Callable[[Subject], tuple[str, ...]]:
        """What stands beside the pointer over each picture: edges are read in the reference."""
        reading = self._read(x_mm, y_mm)

        def told(subject: Subject) -> tuple[str, ...]:
            return reading.at_pointer if reading is not None and subject is Subject.REFERENCE else ()

        return told

    def _show_pressing(self) -> None:
        self._panel.focus.point.setChecked(self.pressing.at is For.FOCUS)
        self._panel.brush.brush.setChecked(self.pressing.at is For.BRUSH)
