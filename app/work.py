"""Work away from the window: the one owner of threads.

A job is a frozen request with an id; what comes back is a frozen answer with the same id. Only the newest request of a
channel is answered: asking again cancels the one before. Callbacks run in the thread of the window.
"""

import itertools
import logging
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeVar

import shiboken6
from PySide6.QtCore import QObject, Qt, QTimer, Signal, Slot

from core.errors import CancelledError, PainterError

T = TypeVar("T")

THREADS = 2
SHOW_AFTER_S = 0.5
REPORT_EVERY_S = 0.05
UNKNOWN_SHARE = -1.0

STOPPED = "Stopped. Nothing was changed."
UNEXPECTED = "This did not work: something went wrong inside the program. Nothing was changed; the log says more."
NO_ROOM = "There is not enough memory for this. Close other programs, or use a smaller photo."

_log = logging.getLogger("easelside.work")


class Progress:
    """Handed to the work; calling it now and then keeps the painter informed and lets the work be stopped."""

    def __init__(self, report: Callable[[float, str], None], stopped: threading.Event) -> None:
        self._report = report
        self._stopped = stopped
        self._reported_at = 0.0

    def __call__(self, share: float = UNKNOWN_SHARE, say: str = "") -> None:
        """Report the ``share`` done (0-1, or -1 when unknown). Raises CancelledError once the job was cancelled."""
        if self._stopped.is_set():
            raise CancelledError(STOPPED)
        now = time.monotonic()
        if now - self._reported_at >= REPORT_EVERY_S:
            self._reported_at = now
            self._report(share, say)

    @property
    def cancelled(self) -> bool:
        return self._stopped.is_set()


@dataclass(frozen=True, eq=False)
class Request:
    """What is asked of a thread. The work must not share anything that someone else changes."""

    id: int
    channel: str
    work: Callable[[Progress], Any]
    stopped: threading.Event = field(default_factory=threading.Event)


@dataclass(frozen=True, eq=False)
class Answer:
    """What came of a request: a result, or a sentence that says why there is none, or neither (it was stopped)."""

    id: int
    channel: str
    result: Any = None
    problem: str = ""
    stopped: bool = False


@dataclass(eq=False)
class Job:
    """A piece of work under way, as its owner sees it."""

    request: Request
    done: Callable[[Any], None]
    failed: Callable[[str], None] | None
    ended: Callable[[], None] | None
    started_at: float
    share: float = UNKNOWN_SHARE
    say: str = ""
    cancel: Callable[[], None] = lambda: None

    @property
    def id(self) -> int:
        return self.request.id

    @property
    def channel(self) -> str:
        return self.request.channel


class Worker(QObject):
    """Runs work in a few threads, at most one piece per channel at a time. ``synchronous`` runs it at once (tests)."""

    progressed = Signal(str, float, str)  # channel, share (0-1 or -1), what is being done; only past half a second
    idle = Signal(str)  # the channel has nothing more to do
    failed = Signal(str, str)  # channel, sentence: for jobs that brought no ``failed`` of their own

    _answered = Signal(object)
    _reported = Signal(int, float, str)

    def __init__(self, parent: QObject | None = None, *, synchronous: bool = False) -> None:
        super().__init__(parent)
        self._synchronous = synchronous
        self._ids = itertools.count(1)
        self._jobs: dict[int, Job] = {}
        self._newest: dict[str, int] = {}
        self._crew = _Crew(self._answered.emit, self._reported.emit)
        self._answered.connect(self._settle, Qt.ConnectionType.QueuedConnection)
        self._reported.connect(self._note, Qt.ConnectionType.QueuedConnection)
        self._clock = QTimer(self)
        self._clock.setInterval(100)
        self._clock.timeout.connect(self._show_progress)

    def run(
        self,
        channel: str,
        work: Callable[[Progress], T],
        done: Callable[[T], None],
        failed: Callable[[str], None] | None = None,
        ended: Callable[[], None] | None = None,
    ) -> Job:
        """Ask for ``work``; ``done`` gets its result unless a newer request of the channel came in between.

        ``failed`` gets a sentence for the painter. ``ended`` is called last, however the job ended.
        """
        self.cancel(channel)
        request = Request(next(self._ids), channel, work)
        job = Job(request, done, failed, ended, time.monotonic())
        job.cancel = lambda: self._cancel(job)
        self._jobs[job.id] = job
        self._newest[channel] = job.id
        if self._synchronous:
            self._settle(_carry_out(request, lambda _id, share, say: None))
        else:
            self._crew.take(request)
            self._clock.start()
        return job

    def cancel(self, channel: str) -> None:
        """Stop whatever the channel is doing; its result, if any still comes, is dropped."""
        for job in [job for job in self._jobs.values() if job.channel == channel]:
            self._cancel(job)

    def cancel_all(self) -> None:
        for job in list(self._jobs.values()):
            self._cancel(job)

    def is_busy(self, channel: str | None = None) -> bool:
        """Whether a piece of work of the channel (or of any channel) still waits for its answer."""
        return any(channel in (None, job.channel) for job in self._jobs.values())

    def close(self, wait_ms: int = 3000) -> bool:
        """Cancel everything and wait, at most ``wait_ms``, for the threads to end. True when they have.

        A thread that does not listen is left behind: it cannot keep the program open, and nobody hears its answer.
        """
        self.cancel_all()
        self._clock.stop()
        all_ended = self._crew.dismiss(wait_ms / 1000.0)
        for job in list(self._jobs.values()):
            self._settle(Answer(job.id, job.channel, stopped=True))
        return all_ended

    def _cancel(self, job: Job) -> None:
        if job.id not in self._jobs:
            return
        job.request.stopped.set()
        if self._crew.drop(job.request):
            self._settle(Answer(job.id, job.channel, stopped=True))

    @Slot(object)
    def _settle(self, answer: Answer) -> None:
        job = self._jobs.pop(answer.id, None)
        if job is None:
            return
        wanted = self._newest.get(job.channel) == job.id and not job.request.stopped.is_set()
        try:
            if wanted and answer.problem:
                self._tell(job, answer.problem)
            elif wanted and not answer.stopped:
                _call(job.done, answer.result)
        finally:
            _call(job.ended)
            if not self._jobs:
                self._clock.stop()
            if not self.is_busy(job.channel):
                self.idle.emit(job.channel)

    def _tell(self, job: Job, sentence: str) -> None:
        if job.failed is None:
            self.failed.emit(job.channel, sentence)
        else:
            _call(job.failed, sentence)

    @Slot(int, float, str)
    def _note(self, job_id: int, share: float, say: str) -> None:
        job = self._jobs.get(job_id)
        if job is not None:
            job.share, job.say = share, say

    def _show_progress(self) -> None:
        now = time.monotonic()
        for job in list(self._jobs.values()):
            if now - job.started_at >= SHOW_AFTER_S and not job.request.stopped.is_set():
                self.progressed.emit(job.channel, job.share, job.say)


class _Crew:
    """The threads: plain daemons, so that one which does not listen can neither abort nor hold up the exit."""

    def __init__(self, answer: Callable[[Answer], None], report: Callable[[int, float, str], None]) -> None:
        self._answer = answer
        self._report = report
        self._changed = threading.Condition()
        self._waiting: deque[Request] = deque()
        self._running: set[str] = set()
        self._threads: list[threading.Thread] = []
        self._dismissed = False

    def take(self, request: Request) -> None:
        with self._changed:
            if self._dismissed:
                raise RuntimeError("the worker was closed")
            self._waiting.append(request)
            if len(self._threads) < THREADS:
                thread = threading.Thread(
                    target=self._work, name=f"easelside-work-{len(self._threads) + 1}", daemon=True
                )
                self._threads.append(thread)
                thread.start()
            self._changed.notify()

    def drop(self, request: Request) -> bool:
        """Take back a request that no thread has begun; False when one has."""
        with self._changed:
            if request in self._waiting:
                self._waiting.remove(request)
                return True
            return False

    def dismiss(self, wait_s: float) -> bool:
        until = time.monotonic() + wait_s
        with self._changed:
            self._dismissed = True
            self._waiting.clear()
            self._changed.notify_all()
        for thread in self._threads:
            thread.join(max(0.0, until - time.monotonic()))
        return not any(thread.is_alive() for thread in self._threads)

    def _work(self) -> None:
        while (request := self._next()) is not None:
            answer = _carry_out(request, self._pass_on_report)
            with self._changed:
                self._running.discard(request.channel)
                self._changed.notify_all()
                # Under the lock, so that no signal leaves for a Worker that has been closed and is being deleted.
                if not self._dismissed:
                    self._answer(answer)
            del request, answer  # a big array must not live on until the next request comes

    def _next(self) -> Request | None:
        with self._changed:
            while not self._dismissed:
                for request in self._waiting:
                    if request.channel not in self._running:
                        self._waiting.remove(request)
                        self._running.add(request.channel)
                        return request
                self._changed.wait()
            return None

    def _pass_on_report(self, job_id: int, share: float, say: str) -> None:
        with self._changed:
            if not self._dismissed:
                self._report(job_id, share, say)


def _carry_out(request: Request, report: Callable[[int, float, str], None]) -> Answer:
    progress = Progress(lambda share, say: report(request.id, share, say), request.stopped)
    try:
        if request.stopped.is_set():
            return Answer(request.id, request.channel, stopped=True)
        return Answer(request.id, request.channel, result=request.work(progress))
    except CancelledError:
        return Answer(request.id, request.channel, stopped=True)
    except PainterError as error:
        return Answer(request.id, request.channel, problem=str(error))
    except MemoryError:
        _log.exception("no memory for %s", request.channel)
        return Answer(request.id, request.channel, problem=NO_ROOM)
    except Exception:
        _log.exception("the work of %s failed", request.channel)
        return Answer(request.id, request.channel, problem=UNEXPECTED)


def _call(callback: Callable[..., None] | None, *arguments: Any) -> None:
    """Call back, unless there is nobody left to hear: the widget whose method it is may have been closed."""
    owner = getattr(callback, "__self__", None)
    if callback is not None and not (isinstance(owner, QObject) and not shiboken6.isValid(owner)):
        callback(*arguments)
