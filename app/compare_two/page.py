"""The page on which two canvas photos are compared: side by side under one sight, and what was painted in between."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app import look
from app.actions import KeyButton
from app.compare_two.jobs import Asked, Found, find_changes
from app.compare_two.pair import Seen, Side, acetate_over, in_order, print_key
from app.hangings import difference_legend
from app.questions.parts import Line, Lines, Panel, button, flow, text
from app.studio import Studio
from app.view import Look, Subject
from app.wall.areas import NumberedAreas
from app.wall.hanging import Hanging, Overlay
from app.wall.wall_view import BLINK_KEY, WallView
from core.errors import PainterError

WORK = "what changed between two photos"
SIDE_PX, SIDE_SHARE = 360, 0.4
_SIDES = "The earlier photo hangs on the left, the later beside it."
_KEY = "Blue is darker now, ochre lighter, by up to the figure in value steps; dark grey (?) cannot be told."
_LOOKING = "Looking for what changed…"
_BLANK = "One of the two is of the blank canvas, so there is nothing painted to compare it with."
_UNPLACED = "The corners of “{}” are not placed, so it hangs as shot and what changed cannot be told."
_NO_DRAWING = "There is no line drawing to lay over."
_NOTHING = "Nothing changed by more than half a value step."
_LOOKS = ((Look.COLOUR, "Colour", ""), (Look.GREY, "Grey", "G"), (Look.STEPS, "Steps", "V"))


class ComparePage(QWidget):
    """``left``: back to the work. ``corners_wanted``: the corners of this canvas photo are to be placed."""

    left = Signal()
    corners_wanted = Signal(int)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._sides: tuple[Side, Side] | None = None
        self._found: Found | None = None
        self._chosen: str | None = None
        self.seen = Seen()
        self.shows_change = True
        self.wall = WallView(studio.painting.size, self)
        self.panel = Panel("Two photos compared", self)
        self._lay_out()
        studio.room.ready.connect(self._refresh_wall)
        studio.shares_changed.connect(self._refresh_wall)

    def begin(self, one: int, other: int) -> str:
        """Show two canvas photos; a sentence where that cannot be, else empty."""
        try:
            self._sides = in_order(self._studio, one, other)
        except PainterError as trouble:
            return str(trouble)
        self._found, self._chosen, self.seen = None, None, Seen()
        self.wall.set_canvas(self._studio.painting.size)
        self._refresh()
        self._look_for_changes()
        return ""

    def leave(self) -> None:
        """What is being looked for is not wanted any more."""
        self._studio.worker.cancel(WORK)
        self.wall.blink(False)
        self._sides, self._found = None, None
        self.wall.hang(())
        self.lines.show_lines(())

    def handlers(self) -> dict[str, Callable[[], object]]:
        """What the window's actions do on this page."""
        return {
            "grey": partial(self.toggle_look, Look.GREY),
            "steps": partial(self.toggle_look, Look.STEPS),
            "squint": self.toggle_squint,
            "acetate": self.toggle_acetate,
            "difference": self.toggle_change,
        }

    def toggle_look(self, wanted: Look) -> None:
        """Show both in this look, or in colour again."""
        self._see(replace(self.seen, look=Look.COLOUR if self.seen.look is wanted else wanted))

    def toggle_squint(self) -> None:
        self._see(replace(self.seen, squint=not self.seen.squint))

    def toggle_acetate(self) -> None:
        self._see(replace(self.seen, acetate=not self.seen.acetate and self._studio.drawing is not None))

    def toggle_change(self) -> None:
        """Hang what changed beside the two, or take it down."""
        self.shows_change = not self.shows_change
        self._refresh()

    def blink(self, on: bool) -> None:
        """While on, each of the two shows in the other's place."""
        self.wall.blink(on, (0, 1))

    def focus_wall(self) -> None:
        """Give the keyboard to the pictures."""
        place = self.wall.sheets[0].parentWidget() if self.wall.sheets else None
        (place or self.wall).setFocus()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.wall.hang(self.wall.hangings)  # what was measured while hidden is measured again

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.key() == BLINK_KEY and not event.modifiers():
            self.blink(True)
        else:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == BLINK_KEY and not event.isAutoRepeat():
            self.blink(False)
        else:
            super().keyReleaseEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.restyle()

    def restyle(self) -> None:
        """The size of the type, or of the window, has changed."""
        self._beside.setFixedWidth(min(round(look.px(SIDE_PX)), round(SIDE_SHARE * self.width())))

    def _see(self, seen: Seen) -> None:
        self.seen = seen
        self._refresh()

    def _look_for_changes(self) -> None:
        """Away from the window, where both lie flat."""
        self.lines.show_lines(())
        self.notes.setText("")
        assert self._sides is not None
        unplaced = next((side for side in self._sides if not side.can_lie_flat), None)
        self.corners.setVisible(unplaced is not None and not unplaced.trouble and not self._studio.painting.read_only)
        if unplaced is not None:
            self.says.setText(unplaced.trouble or _UNPLACED.format(unplaced.photo.name))
        elif any(side.photo.is_blank for side in self._sides):
            self.says.setText(_BLANK)
        else:
            self.says.setText(_LOOKING)
            self._studio.worker.run(WORK, partial(find_changes, self._asked()), self._take, self.says.setText)
        self._refresh()

    def _asked(self) -> Asked:
        assert self._sides is not None
        earlier, later = (side.source for side in self._sides)
        assert earlier is not None
        assert later is not None
        reference, held = self._studio.source(Subject.REFERENCE), self._studio.room.held_photo
        photos = (held(earlier), held(later), None if reference is None else held(reference))
        return Asked(earlier, later, reference, photos)

    def _take(self, found: Found) -> None:
        if self._sides is None:
            return
        self._found = found
        count = len(found.areas)
        self.says.setText(_NOTHING if not count else "Where it changed, the heaviest first:")
        self.lines.show_lines([Line(area.number, area.say) for area in found.areas])
        self.notes.setText("\n".join(found.notes))
        self._refresh()

    def _go(self, index: int) -> None:
        if self._found is not None:
            area = self._found.areas[index]
            self._chosen = str(area.number)
            self._refresh_wall()
            self.wall.go_to(area.x_mm, area.y_mm, max(20.0, 1.6 * (area.area_cm2 * 100) ** 0.5))

    def _place_corners(self) -> None:
        if self._sides is not None:
            wanted = next(side for side in self._sides if not side.can_lie_flat)
            self.corners_wanted.emit(wanted.photo.id)

    def _refresh(self) -> None:
        seen, found = self.seen, self._found
        for made, (each, _, _) in zip(self.looks, _LOOKS, strict=True):
            made.setChecked(seen.look is each)
        self.squint.setChecked(seen.squint)
        self.acetate.setChecked(seen.acetate)
        self.acetate.setEnabled(self._studio.drawing is not None)
        self.acetate.setToolTip("" if self._studio.drawing is not None else _NO_DRAWING)
        self.change.setEnabled(found is not None)
        self.change.setChecked(found is not None and self.shows_change)
        self.key.setVisible(found is not None and self.shows_change)
        self._refresh_wall()

    def _refresh_wall(self) -> None:
        if self._sides is None:
            return
        hangings = [self._hanging(side) for side in self._sides]
        if self._found is not None and self.shows_change:
            hangings.append(self._difference(self._found))
        if len(hangings) == len(self.wall.hangings):
            for index, hanging in enumerate(hangings):
                self.wall.rehang(index, hanging)
        else:
            self.wall.hang(hangings)

    def _hanging(self, side: Side) -> Hanging:
        studio, material = self._studio, self._studio.material()
        key = print_key(side, self.seen, material)
        made = None if key is None else studio.room.print(key)
        if made is None and key is not None:
            made = next((ready for ready in map(studio.room.ready_print, key.plainer()) if ready is not None), None)
        if made is None:
            return studio.stand_in(side.title)
        title = side.title if side.can_lie_flat else f"{side.title} · corners not placed"
        overlays = (*acetate_over(side, self.seen, material), *self._marks(only_chosen=True))
        return Hanging(title, made.picture, made.mapping, overlays, is_measured=side.can_lie_flat, of_canvas=True)

    def _difference(self, found: Found) -> Hanging:
        legend = replace(difference_legend(), title="Steps darker (−) or lighter (+) now")
        return Hanging(
            "What changed", found.difference.picture, found.difference.mapping, self._marks(), legend, of_canvas=True
        )

    def _marks(self, *, only_chosen: bool = False) -> tuple[Overlay, ...]:
        """All over what changed; over the photos only the one that is asked about, so that the paint is seen."""
        if self._found is None or not self.shows_change:
            return ()
        areas = [each for each in self._found.outlines if not only_chosen or each.number == self._chosen]
        return (NumberedAreas(tuple(areas), chosen=self._chosen),) if areas else ()

    def _lay_out(self) -> None:
        self.looks = tuple(self._toggle(word, key, partial(self.toggle_look, each)) for each, word, key in _LOOKS)
        self.squint = self._toggle("Squint", "Q", self.toggle_squint)
        self.acetate = self._toggle("Acetate", "L", self.toggle_acetate)
        self.change = self._toggle("What changed", "D", self.toggle_change)
        self.blink_button = KeyButton("Blink", "B")
        self.blink_button.setToolTip("Each in the other’s place while held")
        self.blink_button.pressed.connect(partial(self.blink, True))
        self.blink_button.released.connect(partial(self.blink, False))
        self.says, self.notes, self.key = text(), text(role="note"), text(_KEY, "note")
        self.corners = button("Place the corners", self._place_corners, "primary")
        self.lines = Lines()
        self.lines.chosen.connect(self._go)
        self.back = button("Back", self.left.emit)
        column = self.panel.column
        column.addWidget(text("Two photos compared", "heading"))
        column.addWidget(text(_SIDES, "note"))
        column.addWidget(flow(*self.looks, self.squint, self.acetate, self.blink_button, self.change))
        for part in (self.says, self.corners, self.lines, self.key, self.notes):
            column.addWidget(part)
        column.addStretch(1)
        self._beside = QWidget(self)
        side = QVBoxLayout(self._beside)
        side.setContentsMargins(0, 0, 0, 0)
        side.addWidget(self.panel, 1)
        foot = QHBoxLayout()
        foot.setContentsMargins(14, 4, 14, 12)
        foot.addWidget(self.back)
        foot.addStretch(1)
        side.addLayout(foot)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.wall, 1)
        whole.addWidget(self._beside)

    def _toggle(self, word: str, key: str, do: Callable[[], object]) -> KeyButton:
        made = KeyButton(word, key)
        made.setCheckable(True)
        made.clicked.connect(lambda _=False: do())
        return made
