"""The page of the live canvas: the picture with its bar, where it comes from, and the placing of the corners."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from app.checking import Say
from app.corners import CornerPage, Placed
from app.dialogs import Dialogs
from app.keys import shortcuts
from app.ledge.tabs import SETTING as TABS
from app.ledge.tabs import Tabs
from app.live import words
from app.live.bar import LiveBar
from app.live.chooser import Chooser
from app.live.feed import Feed, Memory
from app.live.foot import LiveFoot
from app.live.keeping import Keeper
from app.live.learning import Learnt, learn
from app.live.making import Maker
from app.live.outside import Outside, real_outside
from app.live.settings import SETTING, Kind, LiveView, Wanted, read_lens
from app.live.show import Show
from app.picture import Picture
from app.prints import Corners, Source
from app.studio import Studio
from app.view import Look, Subject, View
from app.wall.wall_view import BLINK_KEY, LIFT_KEY
from app.work import Progress

if TYPE_CHECKING:
    from core.canvas.following import Follower
    from core.frames.cameras import CameraPlace
    from core.frames.frame import Frame

LIST, LEARN = "live: cameras", "live: corners"
TELL_EVERY_MS = 500
PRESSED = {"grey": "grey", "steps": "steps", "squint": "squint", "acetate": "acetate", "as_shot": "flat"}
"""What the window's actions press on this page."""


class LivePage(QStackedWidget):
    """``left``: the painter has done. ``came``: canvas photos that are on the ledge now. ``turned``: another of its
    pages is shown."""

    left = Signal()
    came = Signal(object)
    turned = Signal()

    def __init__(
        self,
        studio: Studio,
        dialogs: Dialogs,
        say: Say,
        parent: QWidget | None = None,
        *,
        outside: Outside | None = None,
    ) -> None:
        super().__init__(parent)
        self._studio, self._dialogs, self._say = studio, dialogs, say
        self._outside = outside or real_outside()
        kept = studio.painting.setting(SETTING)
        told = kept if isinstance(kept, dict) else {}
        self.view, self._last = LiveView.from_json(told.get("view")), Wanted.from_json(told.get("source"))
        self._lens = read_lens(told.get("lens"))
        self._chosen_here = False
        self._memory: Memory | None = None
        self._held: Frame | None = None
        self.feed = Feed(self)
        self._tabs = Tabs(studio, self)
        self._keeper = Keeper(studio, self._outside, self)
        self.chooser = Chooser(self)
        self.corners = CornerPage(studio.worker, self)
        self.watch = QWidget(self)
        self.bar, self.foot = LiveBar(self.watch), LiveFoot(self.watch)
        self.show_on = Show(studio, self.watch)
        self._tick = QTimer(self)
        self._tick.setInterval(TELL_EVERY_MS)
        self._lay_out()
        self._connect()

    @property
    def picture(self) -> QWidget:
        """A message may lie over this."""
        parts = {self.watch: self.show_on.wall, self.corners: self.corners.placer}
        return next((part for page, part in parts.items() if page is self.currentWidget()), self)

    def handlers(self) -> dict[str, Callable[[], object]]:
        """What the window's actions do on this page."""
        if self.currentWidget() is not self.watch:
            return {}
        on_wall: dict[str, Callable[[View], View]] = {
            "fewer_steps": lambda view: view.steps_by(-1),
            "more_steps": lambda view: view.steps_by(1),
            "squint_less": lambda view: view.squint_by(-1),
            "squint_more": lambda view: view.squint_by(1),
        }
        found: dict[str, Callable[[], object]] = {name: partial(self._press, part) for name, part in PRESSED.items()}
        found["corners"] = self.place_corners
        return found | {name: partial(self._change_wall, change) for name, change in on_wall.items()}

    def begin(self) -> None:
        """Ask where the picture is to come from; what was chosen on this page before is opened again at once."""
        self.chooser.begin(self._last)
        self._turn_to(self.chooser)
        if self._chosen_here and self._last is not None:
            self.open(self._last)

    def leave(self) -> bool:
        """Let the camera go; True when nothing of it is left."""
        for channel in (LIST, LEARN):
            self._studio.worker.cancel(channel)
        self.corners.leave()
        self.corners.placer.sheet.show_hanging(None)
        self._held = self._memory = None
        return self._stop()

    def open(self, wanted: Wanted) -> None:
        """Open a source; what is open is let go first."""
        self._stop()
        self._last = wanted
        self._chosen_here = True
        self.feed.follower = self._follower_by_tabs()
        self._memory = memory = self._outside.memory()
        self._turn_to(self.chooser)
        self.chooser.opening(wanted)
        size, gain = self._studio.painting.size, self.show_on.brightness.gain
        self.feed.order = self.show_on.order
        self.feed.open(partial(self._outside.open, wanted), lambda: Maker(self._outside.picture(size), gain), memory)

    def place_corners(self) -> None:
        """Hold a frame, and have the canvas's corners placed on it."""
        shot = self.show_on.shot
        if shot is None:
            return
        self._held = shot.frame
        corners: Corners | None = None
        if shot.followed is not None:
            corners = tuple((float(x), float(y)) for x, y in shot.followed.corners_px)
        reference = self._studio.source(Subject.REFERENCE)
        sheet = None if reference is None else self._studio.room.value(reference)
        source = Source(Path(), 0, self._studio.painting.size, corners)
        self._turn_to(self.corners)
        self.corners.show_photo(0, shot.frame.photo(), Picture.from_srgb(shot.frame.codes), source, sheet)

    def keep_this(self) -> None:
        """The best of the last frames goes onto the ledge."""
        shot = self.show_on.shot
        if self._studio.painting.read_only:
            self._say(words.LOOK_ONLY)
        elif shot is None or self._memory is None:
            self._say(words.NOTHING_YET)
        else:
            self._keeper.keep(self._memory, self.show_on.steady)

    def go_back(self) -> None:
        """From the corners, or from another source, to the picture; from the picture to the wall."""
        if self.currentWidget() is self.corners or (self.currentWidget() is self.chooser and self.feed.is_running):
            self._studio.worker.cancel(LEARN)
            self.corners.leave()
            self._held = None
            self._watch()
        elif self.feed.is_open and not self.feed.is_running:
            self._stop_opening()
        else:
            self.left.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.go_back()
        elif not (self._hold(event, True) or self._act(event)):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if not self._hold(event, False):
            super().keyReleaseEvent(event)

    def hideEvent(self, event: QHideEvent) -> None:
        """Whatever is shown instead: no camera runs unseen."""
        if not event.spontaneous():
            self.leave()
        super().hideEvent(event)

    def _hold(self, event: QKeyEvent, held: bool) -> bool:
        """The keys that are held work wherever the focus is."""
        if self.currentWidget() is not self.watch or event.key() not in (BLINK_KEY, LIFT_KEY) or event.modifiers():
            return False
        if not event.isAutoRepeat():
            if event.key() == BLINK_KEY:
                self.show_on.blink(held)
            else:
                self.show_on.wall.lift_acetate(held)
        return True

    def _act(self, event: QKeyEvent) -> bool:
        """The window's keys whose actions rest, as those do that want a canvas photo."""
        pressed = QKeySequence(event.keyCombination())
        for name, do in self.handlers().items():
            if pressed in shortcuts(name):
                do()
                return True
        return False

    def _lay_out(self) -> None:
        column = QVBoxLayout(self.watch)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.bar)
        column.addWidget(self.show_on.wall, 1)
        column.addWidget(self.foot)
        for page in (self.chooser, self.watch, self.corners):
            self.addWidget(page)

    def _connect(self) -> None:
        self.chooser.chosen.connect(self.open)
        self.chooser.listing.connect(self._list_cameras)
        self.chooser.film.connect(self._choose_film)
        self.chooser.stopped.connect(self._stop_opening)
        self.chooser.left.connect(self.go_back)
        self.feed.opened.connect(self._opened)
        self.feed.came.connect(self._shot_came)
        self.feed.ended.connect(self._ended)
        self.bar.pressed.connect(self._press)
        self.bar.blink.connect(self.show_on.blink)
        self.foot.place.connect(self.place_corners)
        self.foot.keep.connect(self.keep_this)
        self.foot.done.connect(self.left)
        self.corners.accepted.connect(self._corners_placed)
        self.corners.left.connect(self.go_back)
        self.corners.said.connect(self._say)
        self._keeper.came.connect(self.came)
        self._keeper.said.connect(self._say)
        self._keeper.changed.connect(self._refresh)
        self.show_on.order_changed.connect(lambda: setattr(self.feed, "order", self.show_on.order))
        self._tick.timeout.connect(self._tell)
        self._studio.drawing_changed.connect(self._drawing_changed)

    def _turn_to(self, page: QWidget) -> None:
        self.setCurrentWidget(page)
        self.turned.emit()

    def _watch(self) -> None:
        self._turn_to(self.watch)
        self._refresh()
        self._tell()
        self.show_on.wall.setFocus()

    def _press(self, name: str) -> None:
        if name == "source":
            self._turn_to(self.chooser)
            self.chooser.begin(self._last, is_shown=True)
            return
        looks = {"colour": Look.COLOUR, "grey": Look.GREY, "steps": Look.STEPS}
        view = self.view.toggle_look(looks[name]) if name in looks else self.view.toggle(name)
        self.view = view
        self._keep_settings()
        self.show_on.look(view)
        self._refresh()

    def _change_wall(self, change: Callable[[View], View]) -> None:
        """How many steps and how hard a squint there are is the wall's too."""
        self._studio.change_view(change(self._studio.view))

    def _refresh(self) -> None:
        has_reference = self._studio.source(Subject.REFERENCE) is not None
        self.bar.show_view(self.view, has_drawing=self._studio.drawing is not None, has_reference=has_reference)
        self.foot.keep_button.setEnabled(not self._keeper.is_busy and not self._studio.painting.read_only)

    def _drawing_changed(self) -> None:
        if self.currentWidget() is self.watch:
            self._refresh()

    def _list_cameras(self) -> None:
        self.chooser.show_state(words.LISTING, busy=True)

        def work(progress: Progress) -> "tuple[CameraPlace, ...]":
            progress(say="Looking for cameras")
            return self._outside.cameras()

        self._studio.worker.run(LIST, work, self.chooser.show_cameras, self.chooser.failed)

    def _choose_film(self) -> None:
        file = self._dialogs.choose_film(self)
        if file is not None:
            self.open(Wanted(Kind.FILM, file.name, str(file)))

    def _follower_by_tabs(self) -> "Follower | None":
        """The lens is that of the camera with which the corners were placed here; another's is found out."""
        known = self._tabs.setup
        if known is None or self._last is None:
            return None
        return self._outside.by_tabs(known[0], self._lens.get(self._last.camera))

    def _opened(self, name: str) -> None:
        self._keep_settings()
        self.show_on.begin(self.view)
        self.feed.order = self.show_on.order
        self._tick.start()
        self._watch()

    def _shot_came(self) -> None:
        shot = self.feed.take()
        if shot is not None:
            is_first = self.show_on.shot is None
            self.show_on.show_shot(shot)
            if is_first:
                self._tell()

    def _ended(self, sentence: str) -> None:
        self._rest()
        self.corners.leave()
        self._turn_to(self.chooser)
        self.chooser.failed(sentence)

    def _stop_opening(self) -> None:
        self._studio.worker.cancel(LIST)
        if not self.feed.is_running:
            self._stop()
        self.chooser.begin(self._last)

    def _stop(self) -> bool:
        ended = self.feed.close()
        self._rest()
        return ended

    def _rest(self) -> None:
        self._tick.stop()
        self.show_on.rest()

    def _tell(self) -> None:
        shot = self.show_on.shot
        followed = None if shot is None else shot.followed
        self.foot.show_following(self.feed.follower is not None)
        self.foot.tell(words.following(followed, has_follower=self.feed.follower is not None))
        self.foot.tell_rate(self.show_on.meter.says)

    def _corners_placed(self, placed: Placed) -> None:
        frame, size = self._held, self._studio.painting.size
        if frame is not None:
            work = partial(learn, frame, placed, size, self._outside)
            self._studio.worker.run(LEARN, work, self._learnt, self._say)

    def _learnt(self, learnt: Learnt) -> None:
        if self._held is None:
            return
        self._held = None
        self.feed.follower = learnt.follower
        if self._last is not None:
            self._lens = {self._last.camera: learnt.lens_k1}
            self._keep_settings()
        if learnt.tabs is not None and not self._studio.painting.read_only:
            self._studio.keep(TABS, learnt.tabs)
            self._say(words.LEARNT, passing=True)
        elif learnt.say:
            self._say(learnt.say)
        self.corners.leave()
        self._watch()

    def _keep_settings(self) -> None:
        source = None if self._last is None else self._last.to_json()
        self._studio.keep(SETTING, {"view": self.view.to_json(), "source": source, "lens": self._lens})
