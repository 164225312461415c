"""The hand-over as the window knows it: opened, closed, and what came. Off until it is opened."""

import asyncio
import threading
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal, Slot

from app.handover.addresses import EVERYWHERE, local_addresses, may_listen
from app.handover.limits import Limits
from app.handover.tokens import Pass
from app.work import Progress, Worker
from core.errors import PainterError

if TYPE_CHECKING:
    from app.handover.server import Ending, Listening

CHANNEL = "hand-over"

TRUST = (
    "Open the hand-over only on a network you trust, such as your own at home: the photos cross it unsealed, and "
    "others on it may see them."
)
NO_NETWORK = "This computer is on no local network. Join the one the phone is on, and open the hand-over again."
NOT_THERE = "The hand-over listens on local networks only. Choose one of the addresses offered."
CLOSED = "The hand-over is closed."
CLOSED_IDLE = "The hand-over closed itself, since nothing came for {minutes:g} minutes."


def listening_words(listening: "Listening") -> str:
    """Where it listens, for the window."""
    if listening.address == EVERYWHERE:
        return f"Listening on every network this computer is on, at {listening.host} among them. {TRUST}"
    return f"Listening on {listening.host}. {TRUST}"


class HandOver(QObject):
    """Holds the server's thread, which is a worker of its own: it is there only while the hand-over is open.

    ``close`` must have been called before this is deleted.
    """

    opened = Signal(object, str)  # Listening, the page's address: also when there is a new code
    phone_came = Signal()  # the code is used up
    photo_came = Signal(object, str)  # Path of a finished file, which is the receiver's, and the phone's name for it
    closed = Signal(str)  # a sentence: why

    _news = Signal(object, object)

    def __init__(
        self,
        parent: QObject | None = None,
        *,
        limits: Limits | None = None,
        addresses: Callable[[], tuple[str, ...]] = local_addresses,
    ) -> None:
        super().__init__(parent)
        self._limits = limits or Limits()
        self._addresses = addresses
        self._worker: Worker | None = None
        self._pass = Pass(self._limits.code_s)
        self._listening: Listening | None = None
        self._ear = _Ear(self._news.emit)
        self._news.connect(self._tell, Qt.ConnectionType.QueuedConnection)

    @property
    def is_open(self) -> bool:
        """Whether it was opened and has not closed: it may still be finding its address."""
        return self._worker is not None

    @property
    def url(self) -> str:
        """The page's address with its code, or "" while there is none."""
        return self._listening.url(self._pass.code) if self._listening is not None else ""

    def open(self, folder: Path, address: str | None = None) -> None:
        """Begin to listen; ``opened`` or ``closed`` follows. Photos are laid down in a new folder in ``folder``.

        ``address``: one of ``Listening.offered`` or ``EVERYWHERE``; the first of them when None.
        """
        if self._worker is not None:
            return
        self._pass = Pass(self._limits.code_s)
        self._ear = _Ear(self._news.emit)
        self._worker = Worker(self)
        work = partial(_serve, folder, address, self._addresses, self._pass, self._ear, self._limits)
        self._worker.run(CHANNEL, work, self._ended, self._failed)

    def new_code(self) -> None:
        """Another code for another phone, or for the same one; the earlier phone is let in no more."""
        if self._listening is not None:
            self._pass.renew()
            self.opened.emit(self._listening, self.url)

    def close(self, wait_ms: int = 3000) -> bool:
        """Stop listening, break off what is on its way, and wait at most ``wait_ms``. True when the thread ended.

        Photos that came whole before are still told of.
        """
        return self._leave(CLOSED, wait_ms)

    def _ended(self, ending: "Ending") -> None:
        idle = ending.value == "idle"
        self._leave(CLOSED_IDLE.format(minutes=self._limits.idle_s / 60) if idle else CLOSED)

    def _failed(self, why: str) -> None:
        self._leave(why)

    def _leave(self, why: str, wait_ms: int = 3000) -> bool:
        worker, self._worker, self._listening = self._worker, None, None
        if worker is None:
            return True
        ended = worker.close(wait_ms)
        self._ear.stop()
        worker.deleteLater()
        self.closed.emit(why)
        return ended

    @Slot(object, object)
    def _tell(self, ear: object, news: object) -> None:
        from app.handover.server import Arrived, Listening

        if isinstance(news, Arrived):
            self.photo_came.emit(news.path, news.name)
        elif self._worker is None or ear is not self._ear:
            return
        elif isinstance(news, Listening):
            self._listening = news
            self.opened.emit(news, self.url)
        else:
            self.phone_came.emit()


class _Ear:
    """Passes on what the server's thread says, until nobody listens."""

    def __init__(self, tell: Callable[[object, object], None]) -> None:
        self._tell = tell
        self._lock = threading.Lock()
        self._stopped = False

    def __call__(self, news: object = None) -> None:
        with self._lock:
            if not self._stopped:
                self._tell(self, news)

    def stop(self) -> None:
        with self._lock:
            self._stopped = True


def _serve(
    folder: Path,
    address: str | None,
    addresses: Callable[[], tuple[str, ...]],
    entry: Pass,
    tell: _Ear,
    limits: Limits,
    progress: Progress,
) -> "Ending":
    from app.handover.server import Server, Told

    offered = addresses()
    address = address or next(iter(offered), None)
    if address is None:
        raise PainterError(NO_NETWORK)
    if not may_listen(address):
        raise PainterError(NOT_THERE)
    server = Server(folder, address, entry, Told(tell, tell, tell), offered=offered, limits=limits)
    return asyncio.run(server.serve(lambda: progress.cancelled))
