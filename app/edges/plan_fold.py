"""The edge plan: its lines, how much edge is of each kind, how much is wanted hard, and where the kinds part."""

from dataclasses import replace

from PySide6.QtGui import QAction

from app.actions import KeyButton
from app.edges.fold import EdgeFold
from app.edges.kept import with_bounds
from app.edges.legend_lines import LegendLines, legend_rows
from app.edges.settings import BOUNDS_MM, WANTED
from app.questions.parts import Stepper, button, flow, text
from app.stepping import can_step, stepped
from app.studio import Studio
from core.edge.kinds import EdgeBounds
from core.errors import PainterError
from core.words import as_share

_HOW = (
    "A plan makes no edge harder than the reference has it. Away from the focal points each is softened by one kind "
    "for every doubling of the distance, faint ones faster (the pace is ours). Common practice is to keep few edges "
    "hard."
)
_BY_EYE = (
    "A plan makes no edge harder than the reference has it. This one is made by what the eye sees that rests at the "
    "focal points. Common practice is to keep few edges hard."
)
_NO_FOCUS = "Without a focal point these are the reference’s own edges."
_BOUNDS = (
    "Where the kinds part: the widest sigma of each, mm. Ours, in proportion to the canvas’s diagonal; move them as "
    "you paint."
)
_NAMES = ("hard", "firm", "soft")


class PlanFold(EdgeFold):
    """Follows the plan as it is made."""

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__(studio, "Edge plan")
        self.budget, self.says, self.legend = text(role="subheading"), text(role="note"), LegendLines()
        self.how = text(_HOW, "note")
        self.wanted = Stepper("share that is to be hard")
        self.wanted.stepped.connect(self._want)
        self.bounds = {name: Stepper(f"widest {name} edge") for name in _NAMES}
        for number, stepper in enumerate(self.bounds.values()):
            stepper.stepped.connect(lambda by, number=number: self._bound(number, by))
        self.usual = button("As usual for this canvas", self._usual)
        self.column.addWidget(flow(KeyButton.of(actions["edge_plan"], "Show the plan")))
        for part in (self.budget, self.says, self.legend, self.wanted, self.how, text(_BOUNDS, "note")):
            self.column.addWidget(part)
        for stepper in self.bounds.values():
            self.column.addWidget(stepper)
        self.column.addWidget(flow(self.usual))

    def show_now(self) -> None:
        reads, brief = self.studio.edges, self.brief
        why_not = reads.why_not()
        plan = None if why_not else reads.newest_plan()
        if plan is None:
            self.budget.setText(why_not or "Measuring the edges…")
            self.says.setText("")
            self.legend.show_rows(legend_rows())
        else:
            self.budget.setText(f"{plan.budget.say().removesuffix('.')}.")
            self.says.setText("" if brief.foci else _NO_FOCUS)
            self.legend.show_rows(legend_rows(plan.budget.shares if plan.budget.total_mm > 0 else ()))
        self.says.setVisible(bool(self.says.text()))
        self.how.setText(_HOW if brief.eye is None else _BY_EYE)
        wanted = brief.wanted_hard
        self.wanted.show_number(
            "hard: no wish" if wanted is None else f"wanted hard: {as_share(wanted)}",
            can_less=wanted is not None,
            can_more=wanted is None or can_step(WANTED, wanted, 1),
        )
        self._show_bounds()

    def _show_bounds(self) -> None:
        bounds = _numbers(self.brief.kind_bounds)
        for number, (name, stepper) in enumerate(self.bounds.items()):
            can = {by: self._bounds_by(number, by) is not None for by in (-1, 1)}
            stepper.show_number(f"{name} under {bounds[number]:.2g} mm", can_less=can[-1], can_more=can[1])
        self.usual.setEnabled(self.brief.bounds is not None)

    def _want(self, by: int) -> None:
        wanted = self.brief.wanted_hard
        if wanted is None:
            changed: float | None = WANTED[0] if by < 0 else 0.1
        else:
            changed = None if by < 0 and not can_step(WANTED, wanted, -1) else stepped(WANTED, wanted, by)
        self.brief_wanted.emit(replace(self.brief, wanted_hard=changed), "changed how much is to be hard")

    def _bounds_by(self, number: int, by: int) -> tuple[float, float, float] | None:
        """The bounds with one of them stepped; None where it would meet another, or cannot be stepped."""
        bounds = list(_numbers(self.brief.kind_bounds))
        if not can_step(BOUNDS_MM, bounds[number], by):
            return None
        bounds[number] = stepped(BOUNDS_MM, bounds[number], by)
        hard, firm, soft = bounds
        return (hard, firm, soft) if hard < firm < soft else None

    def _bound(self, number: int, by: int) -> None:
        bounds = self._bounds_by(number, by)
        if bounds is None:
            return
        try:
            self.brief_wanted.emit(with_bounds(self.brief, *bounds), "moved the kinds of edge")
        except PainterError as trouble:
            self.refused.emit(str(trouble))

    def _usual(self) -> None:
        self.brief_wanted.emit(replace(self.brief, bounds=None), "set the kinds of edge as usual")


def _numbers(bounds: EdgeBounds) -> tuple[float, float, float]:
    return bounds.hard_mm, bounds.firm_mm, bounds.soft_mm
