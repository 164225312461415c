"""The page of an open painting: bar, wall, ledge and panels, and what its actions do."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction, QDragEnterEvent, QDropEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from app.bar import Bar
from app.checking import NEEDS_CANVAS, Checking, Say, Ways
from app.corners import CornerPage, Placed
from app.dialogs import Dialogs
from app.drawings import bring_in_drawing
from app.ledge.intake import Intake
from app.ledge.ledge import Ledge
from app.ledge.thumbs import Thumbs
from app.message import Offer
from app.questions.side import Side
from app.start import dropped_files
from app.studio import Studio
from app.view import Look, Question, Subject, View
from app.wall.wall_view import WallView
from core.drawing.drawing import Drawing
from core.errors import PainterError

_WHILE_PLACING = frozenset({"undo", "redo", "save", "close"})


class Desk(QWidget):
    """Everything on it follows the studio; ``say(sentence, *offers, passing=False)`` tells the painter."""

    left = Signal()
    retitled = Signal()

    def __init__(
        self,
        studio: Studio,
        actions: dict[str, QAction],
        dialogs: Dialogs,
        thumbs: Thumbs,
        say: Say,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.studio = studio
        self._actions, self._dialogs, self._say = actions, dialogs, say
        self.checking = Checking(studio, dialogs, Ways(self.add_photos, self.place_corners), say, self)
        self.intake = Intake(studio.painting, studio.worker, self)
        self.bar = Bar(actions)
        self.wall = WallView(studio.painting.size)
        self.corners = CornerPage(studio.worker)
        self.ledge = Ledge(studio, actions, thumbs)
        self.side = Side(studio, actions)
        self.work, self.whole = QWidget(), QStackedWidget()
        self.whole.addWidget(self.work)
        self.whole.addWidget(self.corners)
        self.setAcceptDrops(True)
        self._lay_out()
        self._connect()
        studio.begin()
        self.refresh_view()
        self.refresh_wall()
        self.wall.setFocus()

    def handlers(self) -> dict[str, Callable[[], object]]:
        """What each action does on this page; while corners are placed, those that would disturb it rest."""
        found = self._handlers()
        return {name: do if name in _WHILE_PLACING else partial(self._unless_placing, do) for name, do in found.items()}

    def _handlers(self) -> dict[str, Callable[[], object]]:
        view = self._change
        return {
            "grey": lambda: view(lambda v: v.toggle_look(Look.GREY)),
            "steps": lambda: view(lambda v: v.toggle_look(Look.STEPS)),
            "fewer_steps": partial(self._step_steps, -1),
            "more_steps": partial(self._step_steps, 1),
            "squint": lambda: view(lambda v: replace(v, squint=not v.squint)),
            "squint_less": lambda: view(lambda v: v.squint_by(-1)),
            "squint_more": lambda: view(lambda v: v.squint_by(1)),
            "difference": self.checking.toggle_difference,
            "acetate": self._toggle_acetate,
            "one": lambda: view(lambda v: v.with_count(1)),
            "two": lambda: view(lambda v: v.with_count(2)),
            "three": lambda: view(lambda v: v.with_count(3)),
            "reference": lambda: view(lambda v: v.show_subject(Subject.REFERENCE)),
            "canvas": self._show_canvas,
            "as_shot": lambda: view(lambda v: replace(v, as_shot=not v.as_shot)),
            "add_photos": self.add_photos,
            "older": lambda: self.ledge.hang_neighbour(-1),
            "newer": lambda: self.ledge.hang_neighbour(1),
            "corners": self.place_corners,
            "check": self.checking.check,
            "next_mend": partial(self._step_mend, 1),
            "previous_mend": partial(self._step_mend, -1),
            "sheet": self.checking.save_sheet,
            "question_drawing": lambda: view(lambda v: v.open_question(Question.DRAWING)),
            "question_value": lambda: view(lambda v: v.open_question(Question.VALUE)),
            "question_mend": lambda: view(lambda v: v.open_question(Question.MEND)),
            "ledge": lambda: view(lambda v: replace(v, ledge=not v.ledge)),
            "undo": partial(self._history, self.studio.undo, "Undone"),
            "redo": partial(self._history, self.studio.redo, "Done again"),
            "save": lambda: self._say("All is saved as you go: nothing waits to be saved.", passing=True),
            "close": self._leave,
        }

    def refresh_view(self) -> None:
        """Bring buttons and panels to where the view is."""
        view, studio = self.studio.view, self.studio
        chosen, has_canvas = view.chosen, studio.view.canvas_photo is not None
        on = {
            "grey": chosen.look is Look.GREY,
            "steps": chosen.look is Look.STEPS,
            "difference": chosen.look is Look.DIFFERENCE,
            "squint": view.squint,
            "acetate": chosen.acetate,
            "one": len(view.hung) == 1,
            "two": len(view.hung) == 2,
            "three": len(view.hung) == 3,
            "reference": chosen.subject is Subject.REFERENCE,
            "canvas": chosen.subject is Subject.CANVAS,
            "as_shot": view.as_shot,
            "question_drawing": view.question is Question.DRAWING,
            "question_value": view.question is Question.VALUE,
            "question_mend": view.question is Question.MEND,
            "ledge": view.ledge,
        }
        for name, is_on in on.items():
            self._actions[name].setChecked(is_on)
        self._actions["as_shot"].setEnabled(has_canvas)
        self._actions["corners"].setEnabled(has_canvas)
        self._show_history()
        self.ledge.setVisible(view.ledge)
        self.bar.show_questions(view.question is None)

    def refresh_wall(self) -> None:
        hangings = self.studio.hangings()
        if len(hangings) == len(self.wall.hangings):
            for index, hanging in enumerate(hangings):
                self.wall.rehang(index, hanging)
        else:
            self.wall.hang(hangings)
        self.wall.select(self.studio.view.selected)

    def blink(self, on: bool) -> None:
        """Between the first two pictures, or between reference and canvas where one hangs."""
        if len(self.wall.hangings) > 1:
            self.wall.blink(on)
        elif on:
            other = self.studio.opposite()
            if other is not None:
                self.wall.rehang(0, other)
        else:
            self.refresh_wall()

    def place_corners(self) -> None:
        """Show the photo that hangs as shot, with its corners or an outline that is offered."""
        source = self.studio.source(Subject.CANVAS)
        photo = self.studio.canvas_photo
        if source is None or photo is None:
            self._say(NEEDS_CANVAS, self._photos_offer())
            return
        self.studio.read_for_corners(source, partial(self._show_corners, photo.id))

    def add_photos(self) -> None:
        self.take_files(self._dialogs.choose_photos(self, "Photos of the canvas"))

    def bring_in_drawing(self) -> None:
        file = self._dialogs.choose_drawing(self)
        if file is not None:
            self.take_files((file,))

    def take_files(self, files: Sequence[Path]) -> None:
        """Photos go onto the ledge, an SVG becomes the drawing."""
        drawings = [file for file in files if file.suffix.lower() in (".svg", ".svgz")]
        photos = [file for file in files if file not in drawings]
        if drawings:
            bring_in_drawing(self.studio, drawings[-1], self._drawing_came, self._say)
        if photos:
            self.intake.bring_in(photos)

    @property
    def is_placing(self) -> bool:
        """Whether corners are being placed."""
        return self.whole.currentWidget() is self.corners

    @property
    def message_room(self) -> QWidget:
        """A message may lie over this."""
        return self.corners.placer if self.is_placing else self.wall

    def restyle(self) -> None:
        """The size of the type has changed."""
        self.side.restyle()

    def go_to(self, x_mm: float, y_mm: float, span_mm: float) -> None:
        """Move the wall to a place on the canvas."""
        self.leave_corners()
        self.wall.go_to(x_mm, y_mm, span_mm)

    def leave_corners(self) -> None:
        if self.is_placing:
            self.corners.leave()
            self.whole.setCurrentWidget(self.work)
            self.wall.setFocus()

    def close_painting(self) -> None:
        self.corners.leave()
        self.studio.close()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.wall.hang(self.wall.hangings)  # what was measured while hidden is measured again

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if dropped_files(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        event.acceptProposedAction()
        self.take_files(dropped_files(event))

    def _lay_out(self) -> None:
        beside = QVBoxLayout()
        beside.setSpacing(0)
        beside.addWidget(self.bar)
        beside.addWidget(self.wall, 1)
        beside.addWidget(self.ledge)
        work = QHBoxLayout(self.work)
        work.setContentsMargins(0, 0, 0, 0)
        work.setSpacing(0)
        work.addLayout(beside, 1)
        work.addWidget(self.side)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.whole)

    def _connect(self) -> None:
        studio = self.studio
        studio.view_changed.connect(self.refresh_view)
        studio.wall_changed.connect(self.refresh_wall)
        studio.history_changed.connect(self._show_history)
        studio.said.connect(self._say)
        self.checking.state_changed.connect(self.side.check_bar.refresh)
        self.wall.selected_changed.connect(lambda index: studio.change_view(studio.view.select(index)))
        self.wall.pointer_moved.connect(self._point)
        self.wall.pointer_left.connect(partial(self.side.value.show_reading, None))
        self.bar.blink.connect(self.blink)
        self.side.go_to.connect(self.go_to)
        self.side.drawing.bring_in.connect(self.bring_in_drawing)
        self.ledge.rename_wanted.connect(self._rename)
        self.ledge.removed.connect(self._removed)
        self.ledge.files_dropped.connect(self.take_files)
        self.ledge.said.connect(self._say)
        self.intake.arrived.connect(self._photos_came)
        self.intake.refused.connect(self._say)
        self.corners.accepted.connect(self._corners_placed)
        self.corners.left.connect(self.leave_corners)
        self.corners.said.connect(self._say)

    def _unless_placing(self, do: Callable[[], object]) -> None:
        if self.is_placing:
            self.refresh_view()
        else:
            do()

    def _leave(self) -> None:
        if self.is_placing:
            self.leave_corners()
        else:
            self.left.emit()

    def _change(self, change: Callable[[View], View]) -> None:
        self.studio.change_view(change(self.studio.view))
        self.refresh_view()

    def _show_history(self) -> None:
        self.retitled.emit()
        painting = self.studio.painting
        for name, word, label in (("undo", "Undo", painting.can_undo), ("redo", "Redo", painting.can_redo)):
            self._actions[name].setEnabled(label is not None)
            self._actions[name].setToolTip(f"{word}: {label}" if label else word)

    def _history(self, go: Callable[[], str | None], word: str) -> None:
        try:
            label = go()
        except PainterError as trouble:
            self._say(str(trouble))
            return
        if label is not None:
            self._say(f"{word}: {label}.", passing=True)

    def _show_canvas(self) -> None:
        if self.studio.canvas_photo is None:
            self.refresh_view()
            self._say(NEEDS_CANVAS, self._photos_offer())
        else:
            self._change(lambda v: v.show_subject(Subject.CANVAS))

    def _toggle_acetate(self) -> None:
        if self.studio.drawing is None:
            self.refresh_view()
            self._say("There is no line drawing yet.", Offer("Bring in a drawing…", self.bring_in_drawing))
        else:
            self._change(lambda v: v.toggle_acetate())

    def _step_steps(self, by: int) -> None:
        painting = self.studio.painting
        try:
            painting.set_steps(min(max(painting.steps + by, 2), 10))
        except PainterError as trouble:
            self._say(str(trouble))

    def _step_mend(self, by: int) -> None:
        if self.studio.view.question is not Question.MEND:
            self._change(lambda v: v.open_question(Question.MEND))
        if not self.side.mend.step(by):
            self._say(
                "There is nothing on the list: it comes with a check.", Offer("Check the canvas", self.checking.check)
            )

    def _photos_offer(self) -> Offer:
        return Offer("Bring in photos…", self.add_photos)

    def _check_offer(self) -> Offer:
        return Offer("Check the canvas", self.checking.check)

    def _show_corners(self, canvas_photo: int, photo: object, picture: object) -> None:
        source = self.studio.source(Subject.CANVAS)
        if source is None or self.studio.view.canvas_photo != canvas_photo:
            return
        self.whole.setCurrentWidget(self.corners)
        self.corners.show_photo(canvas_photo, photo, picture, source)  # type: ignore[arg-type]

    def _corners_placed(self, placed: Placed) -> None:
        try:
            self.studio.painting.set_corners(
                placed.canvas_photo, placed.corners, found_by=placed.found_by, lens_k1=placed.lens_k1
            )
        except PainterError as trouble:
            self._say(str(trouble))
            return
        self.leave_corners()
        self.studio.change_view(replace(self.studio.view, as_shot=False))
        self._say(
            "The canvas is laid flat by its corners.", Offer("Check the canvas", self.checking.check), passing=True
        )

    def _photos_came(self, canvas_photos: list[int]) -> None:
        self.studio.hang_canvas_photo(canvas_photos[-1])
        self.ledge.show_hung()
        if self.studio.canvas_photo is not None and self.studio.canvas_photo.corners is None:
            many = len(canvas_photos)
            came = "The photo is" if many == 1 else f"{many} photos are"
            self._say(
                f"{came} on the ledge. Now place the canvas’s corners.", Offer("Place the corners", self.place_corners)
            )

    def _drawing_came(self, drawing: Drawing) -> None:
        view = self.studio.view
        self.studio.change_view(replace(view, hung=tuple(replace(each, acetate=True) for each in view.hung)))
        self._say(
            " ".join(["The drawing lies over the pictures as an acetate.", *drawing.notes]), passing=not drawing.notes
        )

    def _rename(self, canvas_photo: int) -> None:
        try:
            present = self.studio.painting.canvas_photo(canvas_photo).name
            name = self._dialogs.ask_text(self, "Name of this canvas photo", present)
            if name is not None:
                self.studio.painting.rename_canvas_photo(canvas_photo, name)
        except PainterError as trouble:
            self._say(str(trouble))

    def _removed(self, name: str) -> None:
        undo = Offer("Put it back", partial(self._history, self.studio.undo, "Undone"))
        self._say(f"“{name}” was taken off the ledge. Its file stays.", undo)

    def _point(self, x_mm: float, y_mm: float, _which: int) -> None:
        if self.studio.view.question is Question.VALUE:
            self.side.value.show_reading(self.studio.reading(x_mm, y_mm))
