"""The moving picture as the window knows it: opened, shot after shot, closed. Its threads are there only while it is
open.

One thread reads and follows, and one makes the picture; the newest is handed over, and what nobody took in time is
dropped, so that a slow window shows fewer frames but never late ones.

Measured at 1920 × 1080 with four tabs and 11 m of lines, laid flat 1043 px wide, on two cores: 30 frames a second come
at 25-32 ms from the source to the screen, of 27 ms of processor time, for eight minutes with memory at 575 MB; at most
37-51 a second, with one thread for both 24-45. As the camera sees it, held by hand, so that all lines are painted anew:
of 30 a second given 29.8-30 at 29-33 ms, of 34 ms of processor time, at most 31-35 a second. A shot that waited to be
taken, instead of being replaced by a newer one, made 122 ms of 67-91 (``tests/bench/test_bench_live.py``).
"""

import threading
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QObject, Qt, Signal, Slot

from app.live.making import Maker, Order, Shot
from app.live.slot import Slot as NewestOf
from app.work import Progress, Worker
from core.errors import CameraError

if TYPE_CHECKING:
    from core.canvas.following import Followed, Follower
    from core.frames.frame import Frame, FrameSource

READ, MAKE = "live: read", "live: make"
TICK_S = 0.2
LEAVE_MS, LEAVE_OPENING_MS = 2000, 200


class Memory(Protocol):
    """What keeps the last frames, for one of them to be kept as a photo."""

    def add(self, frame: "Frame") -> None: ...


class Feed(QObject):
    """``close`` must have been called before this is deleted.

    ``order`` and ``follower`` may be given at any time: the next picture is made by them.
    """

    opened = Signal(str)  # the source's name
    came = Signal()  # a shot can be taken
    ended = Signal(str)  # a sentence: why

    _news = Signal(object, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._worker: Worker | None = None
        self._session: _Session | None = None
        self._order = Order()
        self._follower: Follower | None = None
        self._news.connect(self._tell, Qt.ConnectionType.QueuedConnection)

    @property
    def is_open(self) -> bool:
        """Whether it was opened and has not ended: the source may still be opening."""
        return self._session is not None

    @property
    def is_running(self) -> bool:
        """Whether the source is open."""
        return self._session is not None and self._session.is_running

    @property
    def dropped(self) -> int:
        """Frames that were read, and left out since a newer one was there."""
        return 0 if self._session is None else self._session.frames.dropped

    @property
    def order(self) -> Order:
        return self._order

    @order.setter
    def order(self, order: Order) -> None:
        self._order = order
        if self._session is not None:
            self._session.order = order

    @property
    def follower(self) -> "Follower | None":
        return self._follower

    @follower.setter
    def follower(self, follower: "Follower | None") -> None:
        self._follower = follower
        if self._session is not None:
            self._session.follower = follower

    def open(self, opener: "Callable[[], FrameSource]", maker: Callable[[], Maker], memory: Memory) -> None:
        """Open a source, away from the window; ``opened`` or ``ended`` follows. What was open is closed first."""
        self.close()
        session = _Session(opener, maker, memory, self._news.emit, self._order, self._follower)
        self._session, self._worker = session, Worker(self)
        for channel, work in ((READ, _read), (MAKE, _make)):
            self._worker.run(channel, partial(work, session), lambda _: None, partial(self._failed, session))

    def take(self) -> Shot | None:
        """The newest shot that has not been taken; room is made for the next."""
        return None if self._session is None else self._session.shots.take()

    def close(self, wait_ms: int | None = None) -> bool:
        """Let the source go, and wait at most ``wait_ms`` for the threads. True when they have ended.

        A source that is still opening cannot be hurried: it is let go as soon as it has opened, and nobody waits.
        """
        session, self._session = self._session, None
        worker, self._worker = self._worker, None
        if session is None or worker is None:
            return True
        usual = LEAVE_MS if session.is_running else LEAVE_OPENING_MS
        session.stop()
        ended = worker.close(usual if wait_ms is None else wait_ms)
        worker.deleteLater()
        return ended

    def _failed(self, session: "_Session", sentence: str) -> None:
        if session is self._session:
            self.close()
            self.ended.emit(sentence)

    @Slot(object, str)
    def _tell(self, session: object, name: str) -> None:
        if session is not self._session or session is None:
            return
        if name:
            self.opened.emit(name)
        else:
            self.came.emit()


class _Session:
    """What the two threads and the window share from opening to closing."""

    def __init__(
        self,
        opener: "Callable[[], FrameSource]",
        maker: Callable[[], Maker],
        memory: Memory,
        tell: Callable[[object, str], None],
        order: Order,
        follower: "Follower | None",
    ) -> None:
        self.opener, self.maker, self.memory = opener, maker, memory
        self.order, self.follower = order, follower
        self.frames: NewestOf[tuple[Frame, Followed | None]] = NewestOf()
        self.shots: NewestOf[Shot] = NewestOf()
        self._tell = tell
        self._lock = threading.Lock()
        self._source: FrameSource | None = None
        self._stopped = False

    @property
    def is_running(self) -> bool:
        return self._source is not None

    def tell(self, name: str = "") -> None:
        """The source has opened, by its name, or a shot can be taken."""
        with self._lock:
            if not self._stopped:
                self._tell(self, name)

    def hold(self, source: "FrameSource") -> bool:
        """The source has opened; False when nobody wants it any more."""
        with self._lock:
            if not self._stopped:
                self._source = source
            return not self._stopped

    def stop(self) -> None:
        """From the window: a read that waits is ended, and nothing is told any more."""
        with self._lock:
            self._stopped = True
            source, self._source = self._source, None
        self.frames.close()
        self.shots.close()
        if source is not None:
            source.close()


def _read(session: _Session, progress: Progress) -> None:
    source = session.opener()
    try:
        if not session.hold(source):
            return
        session.tell(source.name or " ")
        while not progress.cancelled:
            frame = source.read()
            session.memory.add(frame)
            follower = session.follower
            session.frames.put((frame, None if follower is None else follower.follow(frame)))
    except CameraError:
        if not progress.cancelled:
            raise
    finally:
        source.close()


def _make(session: _Session, progress: Progress) -> None:
    maker = None
    while not progress.cancelled:
        come = session.frames.take(TICK_S)
        if come is None:
            continue
        maker = maker or session.maker()
        if session.shots.put(maker.make(*come, session.order)):
            session.tell()
