"""First marks, and the order of work from them: lists whose lines go to the place."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QSlider

from app.actions import KeyButton
from app.questions.fold import Fold
from app.questions.parts import Line, Lines, Stepper, flow, text
from app.studio import Studio
from app.values.jobs import Work
from app.values.marks import place_at
from app.values.settings import SHOWN_AHEAD

_SPAN_TIMES = 2.5
"""A place is shown with so much round it."""


class MarksFold(Fold):
    """The darkest darks and the lightest lights to begin with."""

    go_to = Signal(float, float, float)

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("First marks", is_open=studio.view.values.marks)
        self._studio, self._was_on = studio, studio.view.values.marks
        self.says = text(role="note")
        self.lines = Lines()
        self.lines.chosen.connect(self._go)
        self.column.addWidget(flow(KeyButton.of(actions["first_marks"], "Over the reference")))
        self.column.addWidget(self.says)
        self.column.addWidget(self.lines)
        self._told: tuple[object, ...] = ()
        self.heading.toggled.connect(self.refresh)

    def refresh(self) -> None:
        self._was_on = _opened(self, self._studio.view.values.marks, self._was_on)
        if not (self.isVisible() and self.is_open):
            return
        reads = self._studio.values
        found, boundaries = reads.marks(), reads.boundaries()
        if found is None:
            self.says.setText(reads.why_not() or "Being found…")
            self.lines.show_lines([])
            self._told = ()
            return
        self.says.setText("The most certain darkest (D) and lightest (L) areas, the surest first: put them in first.")
        told = (found, boundaries)
        if told != self._told:
            self._told = told
            from core.first_marks_print import mark_name, mark_words

            size = self._studio.painting.size
            self.lines.show_lines([Line(mark_name(mark), *mark_words(mark, boundaries, size)) for mark in found])

    def _go(self, index: int) -> None:
        found = self._studio.values.marks()
        if found:
            mark = found[index]
            self.go_to.emit(mark.x_mm, mark.y_mm, _SPAN_TIMES * mark.area_mm2**0.5)


class OrderFold(Fold):
    """What comes next, each region judged against what is already there."""

    go_to = Signal(float, float, float)

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("Order of work", is_open=studio.view.values.order)
        self._studio, self._was_on = studio, studio.view.values.order
        self._told: tuple[object, ...] = ()
        self.says = text(role="note")
        self.at = Stepper("place in the order of work")
        self.at.stepped.connect(lambda by: actions["next_region" if by > 0 else "previous_region"].trigger())
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setAccessibleName("Place in the order of work")
        self.slider.valueChanged.connect(self._look_at)
        self.lines = Lines()
        self.lines.chosen.connect(self._go)
        self.column.addWidget(flow(KeyButton.of(actions["order_of_work"], "Over the reference")))
        for part in (self.says, self.at, self.slider, self.lines):
            self.column.addWidget(part)
        self.heading.toggled.connect(self.refresh)

    def refresh(self) -> None:
        self._was_on = _opened(self, self._studio.view.values.order, self._was_on)
        if not (self.isVisible() and self.is_open):
            return
        work = self._studio.values.work()
        for part in (self.at, self.slider, self.lines):
            part.setVisible(work is not None)
        if work is None:
            self.says.setText(self._studio.values.why_not() or "Being found…")
            return
        view = self._studio.view
        at, many = place_at(work, view.values.at), len(work.placed)
        self.says.setText(
            f"{many} regions, outward from the first marks, the surest and largest next. {SHOWN_AHEAD} are numbered at "
            "a time."
        )
        self.at.show_number(f"{at} of {many}", can_less=at > 1, can_more=at < many)
        with QSignalBlocker(self.slider):
            self.slider.setRange(1, many)
            self.slider.setValue(at)
        self._list(work, at)

    def step(self, by: int) -> None:
        """The next region, or the one before; the wall goes there only from the list."""
        work = self._studio.values.work()
        if work is not None:
            self._look_at(place_at(work, place_at(work, self._studio.view.values.at) + by))

    def _list(self, work: Work, at: int) -> None:
        told = (work, at)
        if told != self._told:
            self._told = told
            from core.first_marks_print import placed_words

            size, boundaries = self._studio.painting.size, work.boundaries
            shown = work.placed[at - 1 : at - 1 + SHOWN_AHEAD]
            has_keys = any(line.hasFocus() for line in self.lines.lines)
            self.lines.show_lines([Line(each.number, *placed_words(each, boundaries, size)) for each in shown])
            self.lines.mark(0)
            if has_keys:
                self.lines.lines[0].setFocus()

    def _look_at(self, at: int) -> None:
        view = self._studio.view
        self._studio.change_view(replace(view, values=replace(view.values, at=at, order=True)))

    def _go(self, index: int) -> None:
        work = self._studio.values.work()
        if work is not None:
            placed = work.placed[place_at(work, self._studio.view.values.at) - 1 + index]
            self._look_at(placed.number)
            region = placed.region
            self.go_to.emit(region.x_mm, region.y_mm, _SPAN_TIMES * min(region.area_mm2, 4000.0) ** 0.5)


def _opened(fold: Fold, is_on: bool, was_on: bool) -> bool:
    """Open a fold when what it shows has been laid over the reference."""
    if is_on and not was_on:
        fold.open()
    return is_on
