"""Focal points: where the eye is to rest, and how far about each the edges stay as they are."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QCheckBox, QPushButton

from app.actions import KeyButton
from app.edges.fold import EdgeFold
from app.edges.kept import with_focus
from app.edges.settings import RADII_MM
from app.questions.parts import Line, Lines, Stepper, button, flow, text
from app.stepping import can_step, stepped
from app.studio import Studio
from app.wall.focus_rings import focus_name
from core.edge.brief import FocalPoint
from core.words import place

_HOW = (
    "Put a focal point where the eye is to rest: press on the picture. Within its ring edges stay as the reference has "
    "them; farther out they are softened. Drag the ring or its middle."
)
_SPAN_TIMES = 2.6


class FocusFold(EdgeFold):
    """``chosen``: the index of the one that is stepped and taken away."""

    go_to = Signal(float, float, float)
    point_wanted = Signal()

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__(studio, "Focal points")
        self.chosen: int | None = None
        self._shown: list[tuple[str, str, str]] = []
        self.point = QPushButton("Press on the picture")
        self.point.setCheckable(True)
        self.point.clicked.connect(lambda _=False: self.point_wanted.emit())
        self.lines, self.radius = Lines(), Stepper("radius of the focal point")
        self.lines.chosen.connect(self._go)
        self.radius.stepped.connect(self._step)
        self.shown = QCheckBox("Show the rings on the wall")
        self.shown.toggled.connect(lambda on: self.set_view(rings=on))
        self.remove = button("Take it away", self._remove)
        self.remove_all = button("Take all away", self._remove_all)
        self.column.addWidget(flow(self.point, KeyButton.of(actions["focus_at_pointer"], "At the pointer")))
        for part in (text(_HOW, "note"), self.lines, self.radius, self.shown, flow(self.remove, self.remove_all)):
            self.column.addWidget(part)

    def choose(self, index: int | None) -> None:
        """The one that the steps are about."""
        self.chosen = index
        self.studio.wall_changed.emit()
        self.refresh()

    def show_now(self) -> None:
        foci, size = self.brief.foci, self.studio.painting.size
        if self.chosen is not None and self.chosen >= len(foci):
            self.chosen = None
        told = [
            (
                focus_name(number),
                f"{place(each.x_mm, each.y_mm, size)}, radius {each.radius_mm:g} mm".capitalize(),
                _at(each),
            )
            for number, each in enumerate(foci, start=1)
        ]
        if told != self._shown:
            self._shown = told
            self.lines.show_lines([Line(*each) for each in told])
        self.lines.mark(self.chosen)
        with QSignalBlocker(self.shown):
            self.shown.setChecked(self.settings.rings)
        for part, needed in (
            (self.shown, bool(foci)),
            (self.remove_all, bool(foci)),
            (self.radius, self._focus is not None),
            (self.remove, self._focus is not None),
        ):
            part.setVisible(needed)
        if self._focus is not None:
            radius = self._focus.radius_mm
            self.radius.show_number(
                f"radius {radius:g} mm", can_less=can_step(RADII_MM, radius, -1), can_more=can_step(RADII_MM, radius, 1)
            )

    @property
    def _index(self) -> int | None:
        """The chosen one; where there is only one, it is that."""
        if self.chosen is None and len(self.brief.foci) == 1:
            return 0
        return self.chosen

    @property
    def _focus(self) -> FocalPoint | None:
        return None if self._index is None or self._index >= len(self.brief.foci) else self.brief.foci[self._index]

    def _step(self, by: int) -> None:
        focus, index = self._focus, self._index
        if focus is not None and index is not None:
            changed = replace(focus, radius_mm=stepped(RADII_MM, focus.radius_mm, by))
            self.brief_wanted.emit(with_focus(self.brief, index, changed), "changed a focal point’s radius")

    def _remove(self) -> None:
        if self._index is not None:
            self.brief_wanted.emit(with_focus(self.brief, self._index, None), "took a focal point away")

    def _remove_all(self) -> None:
        self.brief_wanted.emit(replace(self.brief, foci=()), "took all focal points away")

    def _go(self, index: int) -> None:
        focus = self.brief.foci[index]
        if index == self.chosen:
            self.choose(None)
            return
        self.choose(index)
        self.go_to.emit(focus.x_mm, focus.y_mm, _SPAN_TIMES * focus.radius_mm)


def _at(focus: FocalPoint) -> str:
    return f"{focus.x_mm:.0f} mm from the left, {focus.y_mm:.0f} mm from the top"
