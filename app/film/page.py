"""The page of the progress film: it plays on the left, or before and after lie in one picture; beside it the settings.

The photos are shown as they were placed within a moment, and again once they are held still and in one light.
"""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from app import look
from app.actions import KeyButton
from app.checking import Say
from app.dialogs import Dialogs
from app.film import jobs
from app.film.choice import SETTING, choice_from_json
from app.film.divided import Divided
from app.film.jobs import Pair, Stills
from app.film.laid_over import LaidOver
from app.film.pair_bar import PairBar, shot_words
from app.film.photos import Cast, cast_of
from app.film.player import Player
from app.film.saver import Saver
from app.film.settings import Settings
from app.questions.fold import Fold
from app.questions.parts import Panel, button, flow, row, text
from app.settling import settling
from app.studio import Studio
from core.errors import PainterError
from core.progress_film.film import ProgressFilm, frames_in_all
from core.progress_film.stills import layout

if TYPE_CHECKING:
    from core.progress_film.match import Matched

LOOK, PAIR = "film of the progress", "before and after"
SIDE_PX, SIDE_SHARE = 380, 0.42
BRINGING = "The photos are being held still and brought to one light."
STOPPED = "Stopped: the photos are seen as they were placed. The film that is saved is brought together all the same."
SAME = "The same photo stands before and after. Choose another for one of them."


class FilmPage(LaidOver):
    """Follows the studio's ledge and drawing while it is shown."""

    def __init__(self, studio: Studio, dialogs: Dialogs, say: Say, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._saver = Saver(studio.worker, dialogs, say, self)
        self._on = False
        self._cast = Cast((), ())
        self._kept_notes: tuple[str, ...] = ()
        self._film: ProgressFilm | None = None
        self._stills: Stills | None = None
        self._looked: Any = None  # what the pictures that are there, or under way, depend on
        self._known: tuple[Any, tuple[Matched, ...]] | None = None
        self.player, self.divided, self.pair_bar = Player(), Divided(), PairBar()
        self.settings, self.panel = Settings(), Panel("A film of the progress")
        self._settling = settling(self, self.refresh)
        self._lay_out()
        self._connect()

    @property
    def picture(self) -> QWidget:
        return self.divided if self.compares else self.player.view

    @property
    def compares(self) -> bool:
        """Whether before and after are seen, and not the film."""
        return self.compare_button.isChecked()

    @property
    def film(self) -> ProgressFilm | None:
        """As it is wanted now; None when that cannot be."""
        return self._film

    def handlers(self) -> dict[str, Callable[[], object]]:
        return {"older": partial(self.turn, -1), "newer": partial(self.turn, 1)}

    def begin(self) -> str:
        """Show the film as it was wanted last; a sentence where there can be none, else empty."""
        cast = cast_of(self._studio)
        if cast.trouble:
            return cast.trouble
        choice, self._kept_notes = choice_from_json(self._studio.painting.setting(SETTING))
        self._on = True
        self.settings.show_choice(choice)
        self.player.clear()
        self.divided.show_pair(None)
        self.show_pair(False)
        self.refresh()
        return ""

    def leave(self) -> None:
        if not self._on:
            return
        if self._settling.isActive():
            self._keep()
        self._on = False
        self._settling.stop()
        self._saver.stop()
        self.player.clear()
        self._forget()
        self._film = self._known = None

    def restyle(self) -> None:
        self._beside.setFixedWidth(min(round(look.px(SIDE_PX)), round(SIDE_SHARE * self.width())))
        self.settings.restyle()

    def refresh(self) -> None:
        """Bring the film to how it is wanted now; what has to be made for it is made away from the window."""
        self._settling.stop()
        self._cast = cast_of(self._studio)
        self.settings.can_draw(self._studio.drawing is not None)
        try:
            film = self._wanted()
        except PainterError as trouble:
            (self._refuse if self._cast.trouble else self._hold)(str(trouble))
            return
        self._keep()
        self._film = film
        self.pair_bar.show_shots(self._cast.shots)
        self.trouble.hide()
        self._say_length(film)
        self._look(film)
        self._show_notes()

    def show_pair(self, on: bool) -> None:
        """Before and after, or the film."""
        self.film_button.setChecked(not on)
        self.compare_button.setChecked(on)
        self.player.stop()
        self.seen.setCurrentIndex(int(on))
        if on:
            self._picture_pair()

    def turn(self, by: int) -> None:
        """The photo before or after."""
        (self.pair_bar if self.compares else self.player).turn(by)

    def save_film(self) -> None:
        """As WebM, MP4 or a moving WebP, by the name that is chosen."""
        film = self._ready()
        if film is not None:
            write = partial(jobs.write, film, self._matched(film))
            self._saver.save_film(self._studio.painting.title, self.settings.choice().kind, write)

    def save_poster(self) -> None:
        """The last photo of the film with the painting's title."""
        film = self._ready()
        if film is not None:
            self._saver.save_poster(self._studio.painting.title, partial(jobs.write_poster, film, self._matched(film)))

    def focus_picture(self) -> None:
        """Give the keyboard to what is seen."""
        self.picture.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.key() == Qt.Key.Key_Space and not event.isAutoRepeat() and not self.compares:
            self.player.toggle()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.restyle()

    def _wanted(self) -> ProgressFilm:
        """Raises PainterError with a sentence where it cannot be."""
        if self._cast.trouble:
            raise PainterError(self._cast.trouble)
        choice, studio = self.settings.choice(), self._studio
        overlay = choice.overlay(studio.drawing)
        return ProgressFilm(
            studio.painting.size, self._cast.shots, choice.film, overlay, studio.painting.title
        ).for_film()

    def _ready(self) -> ProgressFilm | None:
        """The film as it is set at this moment; what stands in its way is said."""
        self.refresh()
        if self._film is None:
            self.panel.bring_up(self.trouble)
        return self._film

    def _keep(self) -> None:
        try:
            choice = self.settings.choice()
        except PainterError:
            return  # what was kept last stays
        self._studio.keep(SETTING, choice.to_json())

    def _refuse(self, sentence: str) -> None:
        """There can be no film of these photos."""
        self._forget()
        self.player.clear("")
        self.divided.show_pair(None, "")
        self._say_trouble(sentence)

    def _hold(self, sentence: str) -> None:
        """A setting cannot be read as it is typed so far: what was seen stays."""
        if self._studio.worker.is_busy(LOOK):
            self._studio.worker.cancel(LOOK)
            self._looked = None
        self._say_trouble(sentence)

    def _say_trouble(self, sentence: str) -> None:
        self._film = None
        self.trouble.setText(sentence)
        self.trouble.show()
        self.said.hide()
        self._show_notes()

    def _forget(self) -> None:
        for channel in (LOOK, PAIR):
            self._studio.worker.cancel(channel)
        self._stills = self._looked = None
        self.divided.show_pair(None)

    def _look(self, film: ProgressFilm) -> None:
        """Picture the photos, unless the pictures that are there, or are being made, will do."""
        choice = self.settings.choice()
        looks = (_matching(film), film.settings.titles, choice.over, choice.over and self._studio.drawing)
        if looks == self._looked:
            if self._stills is not None:
                self.player.load(self._stills, film.settings, film.in_order)
            return
        begins = self._looked is None or self._looked[0][0] != looks[0][0]
        self._looked = looks
        if begins:  # other photos, or another order
            self._stills = None
            self.player.clear()
        if begins and self._matched(film) is None:
            self._studio.worker.run(LOOK, partial(jobs.as_placed, film), self._first_seen, self._refuse, self._ended)
        else:
            self._bring_together(film)

    def _first_seen(self, stills: Stills) -> None:
        self._take(stills)
        if self._film is not None:
            self._bring_together(self._film)

    def _bring_together(self, film: ProgressFilm) -> None:
        work = partial(jobs.brought_together, film, self._matched(film))
        self._studio.worker.run(LOOK, work, partial(self._brought, _matching(film)), self._refuse, self._ended)
        self._show_notes()

    def _ended(self) -> None:
        # Another look may be asked for in this very moment: then it was not the painter who stopped the one before.
        QTimer.singleShot(0, self, self._see_whether_stopped)

    def _see_whether_stopped(self) -> None:
        film = self._film
        if not self._on or film is None or self._studio.worker.is_busy(LOOK) or self._matched(film) is not None:
            return
        self._looked = None
        self._show_notes()
        if self._stills is None:
            self.player.clear(STOPPED)
        if self.compares:
            self._picture_pair()

    def _brought(self, key: Any, stills: Stills) -> None:
        if stills.matched is not None:
            self._known = (key, stills.matched)
        self._take(stills)
        self._show_notes()
        if self.compares:
            self._picture_pair()

    def _take(self, stills: Stills) -> None:
        if self._on and self._film is not None:
            self._stills = stills
            self.player.load(stills, self._film.settings, self._film.in_order)

    def _matched(self, film: ProgressFilm) -> "tuple[Matched, ...] | None":
        known = self._known
        return known[1] if known is not None and known[0] == _matching(film) else None

    def _picture_pair(self) -> None:
        """Once the photos are in one light; until then what is waited for is said."""
        film = self._film
        if film is None:
            return
        before, after = self.pair_bar.before, self.pair_bar.after
        if before is after:
            self._studio.worker.cancel(PAIR)
            self.divided.show_pair(None, SAME)
            return
        matched = self._matched(film)
        if matched is None:
            self.divided.show_pair(None, self._waiting)
            return
        first, second = film.in_order.index(before), film.in_order.index(after)
        work = partial(jobs.pictured_pair, film, first, second, matched)
        says = f"Left: {shot_words(before)}. Right: {shot_words(after)}."
        self._studio.worker.run(PAIR, work, partial(self._pair_pictured, says), self._refuse)

    def _pair_pictured(self, says: str, pair: Pair) -> None:
        if self._on:
            self.divided.show_pair(pair, says)

    def _say_length(self, film: ProgressFilm) -> None:
        seconds = frames_in_all(len(film.shots), film.settings) / film.settings.rate
        size = layout(film)
        self.said.setText(f"{len(film.shots)} photos, {seconds:.1f} s in all, {size.width} × {size.height} pixels.")
        self.said.show()

    def _show_notes(self) -> None:
        notes = list(self._kept_notes)
        if self._film is not None:
            notes += self._cast.notes
            if self._stills is not None and self._matched(self._film) is not None:
                notes += self._stills.notes
            else:
                notes.append(self._waiting)
        self.notes.setText("\n".join(notes))
        self.notes_fold.setVisible(bool(notes))

    @property
    def _waiting(self) -> str:
        return BRINGING if self._looked is not None else STOPPED

    def _follow_studio(self) -> None:
        if self._on:
            self._settling.start()

    def _connect(self) -> None:
        self.settings.changed.connect(self._settling.start)
        self.pair_bar.changed.connect(self._picture_pair)
        self._studio.ledge_changed.connect(self._follow_studio)
        self._studio.drawing_changed.connect(self._follow_studio)

    def _lay_out(self) -> None:
        self.film_button, self.compare_button = KeyButton("Film"), KeyButton("Before and after")
        for made, on in ((self.film_button, False), (self.compare_button, True)):
            made.setCheckable(True)
            made.clicked.connect(lambda _=False, on=on: self.show_pair(on))
        self.said, self.trouble = text(), text(role="sentence")
        self.notes_fold, self.notes = Fold("What to know"), text(role="note")
        self.notes_fold.column.addWidget(self.notes)
        column = self.panel.column
        column.addWidget(text("A film of the progress", "heading"))
        column.addWidget(flow(self.film_button, self.compare_button))
        for part in (self.said, self.trouble, self.notes_fold, self.settings):
            column.addWidget(part)
        column.addStretch(1)
        self.save_button = button("Save the film…", self.save_film, role="primary")
        self.poster_button = button("Save the poster…", self.save_poster)
        self.back = button("Back", self.left.emit)
        self._beside = QWidget()
        side = QVBoxLayout(self._beside)
        side.setContentsMargins(0, 0, 0, 0)
        side.setSpacing(0)
        side.addWidget(self.panel, 1)
        ends = QVBoxLayout()
        ends.setContentsMargins(14, 8, 14, 12)
        ends.setSpacing(8)
        ends.addWidget(self.poster_button)
        ends.addLayout(row(self.back, self.save_button, stretch=1))
        side.addLayout(ends)
        compared = QWidget()
        pair = QVBoxLayout(compared)
        pair.setContentsMargins(0, 0, 0, 0)
        pair.setSpacing(0)
        pair.addWidget(self.divided, 1)
        pair.addWidget(self.pair_bar)
        self.seen = QStackedWidget()
        self.seen.addWidget(self.player)
        self.seen.addWidget(compared)
        whole = QHBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.seen, 1)
        whole.addWidget(self._beside)


def _matching(film: ProgressFilm) -> tuple[Any, ...]:
    """What it depends on how photos are brought onto one another, and which they are."""
    settings = film.settings
    return (film.in_order, film.size, settings.light_of, settings.steady, settings.even, settings.width_px)
