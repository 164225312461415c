"""What the pictures at arm's length show: which hang, the place that is marked, and whether reference and canvas have
changed over."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from PySide6.QtCore import QObject, Signal, SignalInstance

from app.arms.changes import CHANGES, lay_acetate, what_is_on
from app.arms.mending import Mending
from app.arms.wall import ArmsWall
from app.studio import Studio
from app.view import Question
from app.wall.hanging import Hanging

_CLOSER = 2.0
NO_DRAWING = "There is no line drawing yet."
NO_OTHER = "There is no other picture to blink with yet."
NO_PHOTOS = "There are no photos of the canvas yet."
ENDS = {-1: "This is the oldest photo of the canvas.", 1: "This is the newest photo of the canvas."}


@dataclass(frozen=True)
class Source:
    """Where the pictures come from. ``hangings``: what hangs now; ``opposite``: what the only one of them changes over
    with, None while there is none; ``changed`` says that either is another."""

    hangings: Callable[[], list[Hanging]]
    opposite: Callable[[], Hanging | None]
    changed: SignalInstance

    @classmethod
    def of(cls, studio: Studio) -> "Source":
        return cls(studio.hangings, studio.opposite, studio.wall_changed)


class Showing(QObject):
    """Follows its source, and the thing to mend that is shown. ``changed``: what is on or off is another."""

    changed = Signal()

    def __init__(
        self, studio: Studio, source: Source, wall: ArmsWall, mending: Mending, say: Callable[[str], None]
    ) -> None:
        super().__init__(wall)
        self._studio, self._source, self._wall, self._mending, self._say = studio, source, wall, mending, say
        self._over = False  # reference and canvas have changed over
        self._question: Question | None = None
        self._is_open = False

    def open(self) -> None:
        """Begin to follow; while it is open the list to mend is the question, as on the desk when one steps in it."""
        if self._is_open:
            return
        self._is_open = True
        view = self._studio.view
        self._question = view.question
        self._studio.change_view(replace(view, question=Question.MEND))
        self._source.changed.connect(self.refresh)
        self._mending.changed.connect(self.show_place)
        self._wall.fit()
        self.refresh()
        self.show_place()

    def close(self) -> None:
        """Follow no more; the panel on the desk is again the one that was open."""
        if not self._is_open:
            return
        self._is_open = self._over = False
        self._source.changed.disconnect(self.refresh)
        self._mending.changed.disconnect(self.show_place)
        self._wall.blink(False)
        self._wall.lift_acetate(False)
        self._wall.clear_place()
        view = self._studio.view
        if view.question is Question.MEND:
            self._studio.change_view(replace(view, question=self._question))

    @property
    def on(self) -> dict[str, bool]:
        """Whether each doing that is on or off is on."""
        return what_is_on(self._studio.view) | {"blink": self._over, "closer": not self._wall.is_fitted}

    def change(self, name: str) -> None:
        """Do one of the changes of the view."""
        if name == "acetate":
            if self._studio.drawing is None:
                self._say(NO_DRAWING)
            else:
                self._studio.change_view(lay_acetate(self._studio.view))
        else:
            self._studio.change_view(CHANGES[name](self._studio.view))
        self.changed.emit()

    def blink(self) -> None:
        """Reference and canvas change over, and back."""
        over = not self._over
        if over and self._pair() is None and self._source.opposite() is None:
            self._say(NO_OTHER)
        else:
            self._over = over
            self.refresh()
        self.changed.emit()

    def closer(self) -> None:
        """To the place that is shown, or nearer where there is none; and the whole canvas again."""
        if not self._wall.is_fitted:
            self._wall.fit()
        elif self._mending.item is not None:
            self._go()
        else:
            self._wall.zoom_by(_CLOSER)
        self.changed.emit()

    def hang_neighbour(self, by: int) -> None:
        """The canvas photo before or after the one that hangs."""
        photos = [photo.id for photo in self._studio.canvas_photos]
        hung = self._studio.view.canvas_photo
        if not photos:
            self._say(NO_PHOTOS)
            return
        at = photos.index(hung) + by if hung in photos else 0
        if 0 <= at < len(photos):
            self._studio.hang_canvas_photo(photos[at])
        else:
            self._say(ENDS[by])

    def refresh(self) -> None:
        """Hang what hangs now."""
        hangings, blinked = self._source.hangings(), False
        if self._over and len(hangings) == 1:
            other = self._source.opposite()
            hangings = hangings if other is None else [other]
        self._wall.show_all(hangings)
        pair = self._pair()
        if self._over and pair is not None:
            blinked = True
            self._wall.blink(True, pair)
        if not blinked:
            self._wall.blink(False)
            self._over = self._over and len(hangings) == 1
        self.changed.emit()

    def show_place(self) -> None:
        """Mark the thing that is shown; where one looks closely, go there."""
        item = self._mending.item
        if item is None:
            self._wall.clear_place()
        elif self._wall.is_fitted:
            self._wall.mark(item.x_mm, item.y_mm, self._mending.span_mm)
        else:
            self._go()

    def _go(self) -> None:
        item = self._mending.item
        if item is not None:
            self._wall.go_to(item.x_mm, item.y_mm, self._mending.span_mm)

    def _pair(self) -> tuple[int, int] | None:
        """Where reference and canvas hang, if both do."""
        canvas = [hanging.of_canvas for hanging in self._wall.hangings]
        return (canvas.index(False), canvas.index(True)) if len(set(canvas)) == 2 else None
