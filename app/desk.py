"""The page of an open painting: bar, wall, ledge and panels, and what its actions do."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QAction, QDragEnterEvent, QDropEvent, QKeyEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.arms.arms import ArmsLength
from app.arrivals import Arrivals
from app.bar import Bar
from app.checking import NEEDS_CANVAS, Checking, Say, Ways
from app.dialogs import Dialogs
from app.edges.edging import Edging
from app.hand import ByHand
from app.ledge.ledge import Ledge
from app.ledge.rating import Rating
from app.ledge.thumbs import Thumbs
from app.machine import Machine
from app.message import Offer
from app.mixing.mixing import Mixing
from app.placing import Placing
from app.pointers import Pointers
from app.printing.page import NO_DRAWING
from app.projection.projecting import Projecting
from app.proportion import Proportion
from app.questions.side import Side
from app.records import Records
from app.sittings.sittings import Sittings
from app.start import dropped_files
from app.studio import Studio
from app.temperatures.warming import Warming
from app.tracing.page import ACTIONS as TRACING
from app.values.lighting import Lighting
from app.values.valuing import Valuing
from app.view import Question, Subject, View
from app.view_actions import CHANGES, what_is_on
from app.wall.wall_view import BLINK_KEY, WallView

_WHILE_PLACING = frozenset({"save", "close"})


class Desk(QWidget):
    """Everything on it follows the studio; ``say(sentence, *offers, passing=False)`` tells the painter."""

    left = Signal()
    retitled = Signal()
    moved = Signal()  # where a message may lie has changed

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
        self._actions, self._say = actions, say
        # From the top down: whatever is put into another place later is styled anew, with all that it holds.
        self.work = QWidget(self)
        self.placing = Placing(studio, self.work, actions, dialogs, say, self)
        self.bar = Bar(actions, self.work)
        self.wall = WallView(studio.painting.size, self.work)
        self.wall.installEventFilter(self)
        self.ledge = Ledge(studio, actions, thumbs, self.work)
        self.rating = Rating(studio, lambda: self.ledge.cards, self)
        self.rating.said.connect(say)
        self.side = Side(studio, actions, self.work)
        self.proportion = Proportion(studio, self.wall, self.side, actions, dialogs, say, self)
        self.records = Records(studio, dialogs, say, self)
        self.valuing = Valuing(studio, self.side.value, dialogs, say, self)
        self.by_hand = ByHand(studio, self.wall, self.proportion.measuring, say, self.focus_wall, self)
        self.lighting = Lighting(studio, self.wall, self.proportion.measuring, say, self.focus_wall, self)
        self.warming = Warming(
            studio, self.side.temperature, self.wall, self.proportion.measuring, say, self.focus_wall, self._rest, self
        )
        otherwise = self.proportion.measuring
        self.edging = Edging(
            studio, self.side.edge, self.wall, otherwise, dialogs, say, self.focus_wall, self._rest, self
        )
        self.mixing = Mixing(
            studio, self.side.mix, self.wall, otherwise, dialogs, say, self.focus_wall, self._rest, self
        )
        self.sittings = Sittings(studio, self.side.sittings, dialogs, say, self)
        self.projecting = Projecting(studio, dialogs, self)
        self.arrivals = Arrivals(studio, dialogs, say, self.placing, self)
        ways = Ways(self.arrivals.add_photos, self.placing.place_corners)
        self.checking = Checking(studio, dialogs, ways, say, self)
        self.arms = ArmsLength(studio, self.checking.check, self)
        self.setAcceptDrops(True)
        self._lay_out()
        self._connect()
        studio.begin()
        self.refresh_view()
        self.refresh_wall()
        self.focus_wall()
        if studio.painting.reference is None:
            choose = Offer("Choose the photograph…", self.arrivals.change_reference)
            say("This painting has lost its reference. Choose the photograph it is painted from.", choose)

    def use(self, machine: Machine) -> None:
        """Take up what this machine remembers."""
        self.projecting.machine = self.arms.machine = self.arrivals.machine = machine
        if machine.kept.checks_new:
            self.rating.begin()
            self.arrivals.foretelling.get_ready()

    def handlers(self) -> dict[str, Callable[[], object]]:
        """What each action does on this page; while a page lies over it, those that would disturb it rest."""
        found = self._handlers()
        rests = partial(partial, self._unless_placing)
        return {name: do if name in _WHILE_PLACING else rests(name, do) for name, do in found.items()}

    def _handlers(self) -> dict[str, Callable[[], object]]:
        changes: dict[str, Callable[[], object]] = {
            name: partial(self._change, change) for name, change in CHANGES.items()
        }
        changes |= dict.fromkeys(("trace", *TRACING), self.placing.trace_lines)
        return (
            changes
            | self.proportion.handlers()
            | self.projecting.handlers()
            | self.valuing.handlers()
            | self.warming.handlers(self.checking)
            | self.edging.handlers()
            | self.mixing.handlers()
            | self.records.handlers()
            | self.arms.handlers()
            | {
                "difference": self.checking.toggle_difference,
                "acetate": self._toggle_acetate,
                "canvas": self._show_canvas,
                "hang_grey_pair": self._show_grey_pair,
                "light_out": self._toggle_light,
                "add_photos": self.arrivals.add_photos,
                "bring_in_drawing": self.arrivals.bring_in_drawing,
                "phone": self.placing.photos_from_phone,
                "live": self.placing.look_live,
                "older": lambda: self.ledge.hang_neighbour(-1),
                "newer": lambda: self.ledge.hang_neighbour(1),
                "corners": self.placing.place_corners,
                "sheets": self._print_sheets,
                "crop": self.placing.crop_reference,
                "other_reference": self.arrivals.change_reference,
                "check": self.checking.check,
                "next_mend": partial(self._step_mend, 1),
                "previous_mend": partial(self._step_mend, -1),
                "sheet": self.checking.save_sheet,
                "save": lambda: self._say("All is saved as you go: nothing waits to be saved.", passing=True),
                "close": self._leave,
            }
        )

    def refresh_view(self) -> None:
        """Bring buttons and panels to where the view is."""
        view = self.studio.view
        for name, is_on in what_is_on(view).items():
            self._actions[name].setChecked(is_on)
        self.proportion.refresh()
        for name in ("as_shot", "corners"):
            self._actions[name].setEnabled(view.canvas_photo is not None)
        for name in TRACING:
            self._actions[name].setEnabled(self.placing.is_tracing)
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
            self._order_tabs()
        self.wall.select(self.studio.view.selected)
        if self.window().focusWidget() in self._places():
            # The keyboard follows, or coming back to the window would choose the place it was left on.
            self.focus_wall()

    def focus_wall(self) -> None:
        """Give the keyboard to the chosen place on the wall."""
        places = self._places()
        if places:
            places[self.wall.selected].setFocus(Qt.FocusReason.OtherFocusReason)

    def blink(self, on: bool) -> None:
        """Between reference and canvas where both hang; else the chosen picture with what it is compared with."""
        subjects = [hung.subject for hung in self.studio.view.hung]
        both = Subject.REFERENCE in subjects and Subject.CANVAS in subjects
        if both:
            self.wall.blink(on, (subjects.index(Subject.REFERENCE), subjects.index(Subject.CANVAS)))
        elif not on:
            self.wall.blink(False)
            self.refresh_wall()
        elif (other := self.studio.opposite()) is not None:
            self.wall.rehang(self.studio.view.selected, other)
        else:
            self.wall.blink(True)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The blink key is answered here, since only the desk knows which is the reference and which the canvas."""
        kinds = (QEvent.Type.KeyPress, QEvent.Type.KeyRelease)
        if not isinstance(event, QKeyEvent) or event.type() not in kinds:
            return super().eventFilter(watched, event)
        if event.key() != BLINK_KEY or event.modifiers():
            return super().eventFilter(watched, event)
        if not event.isAutoRepeat():
            self.blink(event.type() == QEvent.Type.KeyPress)
        return True

    @property
    def message_room(self) -> QWidget:
        """A message may lie over this."""
        return self.placing.picture or self.wall

    def restyle(self) -> None:
        """The size of the type has changed."""
        self.side.restyle()
        self.placing.restyle()

    def go_to(self, x_mm: float, y_mm: float, span_mm: float) -> None:
        """Move the wall to a place on the canvas."""
        self.placing.leave()
        self.wall.go_to(x_mm, y_mm, span_mm)

    def close_painting(self) -> None:
        self.placing.leave()
        self._rest()
        self.warming.leave()
        self.edging.leave()
        self.mixing.leave()
        self.sittings.leave()
        self.proportion.measuring.close()
        self.arms.close()
        self.projecting.close()
        self.arrivals.watcher.close()
        self.studio.close()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.wall.hang(self.wall.hangings)  # what was measured while hidden is measured again

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if dropped_files(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        event.acceptProposedAction()
        self.arrivals.take_files(dropped_files(event))

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
        column.addWidget(self.placing)

    def _connect(self) -> None:
        studio = self.studio
        studio.view_changed.connect(self.refresh_view)
        studio.wall_changed.connect(self.refresh_wall)
        studio.history_changed.connect(self._show_history)
        studio.said.connect(self._say)
        self.checking.state_changed.connect(self.side.check_bar.refresh)
        self.wall.selected_changed.connect(lambda index: studio.change_view(studio.view.select(index)))
        self.pointers = Pointers(
            studio,
            self.wall,
            {
                Question.VALUE: self.valuing.teller,
                Question.EDGE: self.edging.teller,
                Question.TEMPERATURE: self.warming.teller,
            },
        )
        self.bar.blink.connect(self.blink)
        self.side.go_to.connect(self.go_to)
        self.side.drawing.bring_in.connect(self.arrivals.bring_in_drawing)
        self.by_hand.follow(self.side.drawing.drift)
        self.side.value.strip.follow(self.proportion.measuring)
        self.side.value.light.follow(self.lighting)
        self.ledge.rename_wanted.connect(self.records.rename)
        self.ledge.removed.connect(self.records.removed)
        self.ledge.compare_wanted.connect(self.placing.compare_two)
        self.ledge.film_wanted.connect(self.placing.film_of_progress)
        self.ledge.report_wanted.connect(self.placing.report)
        self.ledge.files_dropped.connect(self.arrivals.take_files)
        self.ledge.said.connect(self._say)
        self.arrivals.watch_for(self.ledge)
        self.arrivals.hung.connect(self.ledge.show_hung)
        self.arrivals.new_lies_flat.connect(self.checking.check_unasked)
        self.arrivals.reference_changed.connect(self.placing.crop_reference)
        self.placing.placed.connect(self._placed)
        self.placing.photos_came.connect(self.arrivals.photos_came)
        self.placing.currentChanged.connect(self._page_turned)
        self.placing.canvas_wanted.connect(lambda sentence: self._say(sentence, self.arrivals.photos_offer()))

    def _page_turned(self) -> None:
        self.refresh_view()
        if not self.placing.is_away:
            self.focus_wall()
        self.moved.emit()

    def _places(self) -> list[QWidget]:
        return [place for sheet in self.wall.sheets if (place := sheet.parentWidget()) is not None]

    def _order_tabs(self) -> None:
        """From the bar to the wall, then to the ledge and the panel: new places would else come last."""
        before: QWidget = self.bar.last
        for place in self._places():
            self.setTabOrder(before, place)
            before = place

    def _unless_placing(self, name: str, do: Callable[[], object]) -> None:
        (self.placing.instead_of(name, do) or self.refresh_view)()

    def _leave(self) -> None:
        if self.placing.is_away:
            self.placing.leave()
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

    def _show_canvas(self) -> None:
        self._with_canvas(lambda v: v.show_subject(Subject.CANVAS))

    def _show_grey_pair(self) -> None:
        self._with_canvas(View.toggle_grey_pair)

    def _toggle_light(self) -> None:
        checked = self.studio.checked
        if checked is not None and checked.lit is not None and checked.findings.is_current:
            self._change(lambda v: replace(v, light_out=v.as_shot or not v.light_out, as_shot=False))
        else:
            self.refresh_view()
            self._say("A check takes the light out of the canvas photo.", self._check_offer())

    def _with_canvas(self, change: Callable[[View], View]) -> None:
        if self.studio.canvas_photo is None:
            self.refresh_view()
            self._say(NEEDS_CANVAS, self.arrivals.photos_offer())
        else:
            self._change(change)

    def _toggle_acetate(self) -> None:
        if self.studio.drawing is None:
            self.refresh_view()
            self._say_no_drawing("There is no line drawing yet.")
        else:
            self._change(lambda v: v.toggle_acetate())

    def _print_sheets(self) -> None:
        if not self.placing.print_sheets():
            self._say_no_drawing(NO_DRAWING)

    def _say_no_drawing(self, sentence: str) -> None:
        self._say(sentence, Offer("Trace lines", self.placing.trace_lines), self.arrivals.drawing_offer())

    def _step_mend(self, by: int) -> None:
        if self.studio.view.question is not Question.MEND:
            self._change(lambda v: v.open_question(Question.MEND))
        if not self.side.mend.step(by):
            self._say(
                "There is nothing on the list: it comes with a check.", Offer("Check the canvas", self.checking.check)
            )

    def _check_offer(self) -> Offer:
        return Offer("Check the canvas", self.checking.check)

    def _placed(self) -> None:
        self.focus_wall()
        self._say("The canvas is laid flat by its corners.", self._check_offer(), passing=True)

    def _rest(self) -> None:
        """Nothing is pointed at by hand or as a known grey any more."""
        self.by_hand.leave()
        self.lighting.leave()
