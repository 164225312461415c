"""What went wrong where nobody foresaw it, in a text file on this machine; nothing is ever sent.

What Python raised and what Qt gave up over is written at once, without the painter's words, to ``CRASH_FILE``. A
native fault can only be written by faulthandler as it stands, to a file of this run; the next start brings it over into
``CRASH_FILE``, made short, and says that there was a crash.
"""

import faulthandler
import getpass
import os
import platform
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, TextIO

from app.private_words import native_trace, trace_of, without_private
from core.version import VERSION

if TYPE_CHECKING:
    from app.machine import Machine
    from app.window import MainWindow

CRASH_FILE = "crash log.txt"
OLDER_FILE = "crash log, older.txt"
MOST_BYTES = 200_000
OPEN_FOLDER = "Open its folder"
STOPPED = "Easelside stopped without warning the last time. What was saved is safe; a file on this machine says where."
WENT_WRONG = (
    "Something went wrong inside Easelside the last time. What was saved is safe; a file on this machine says where."
)

_RUN_FILE = "crash of run {}.txt"
_MARK = "--\n"  # what comes after it was written by faulthandler, or tells that CRASH_FILE has an entry of this run
_WROTE = "an entry was written\n"
_PACKAGES = (
    "PySide6-Essentials", "shiboken6", "opencv-python-headless", "numpy", "Pillow", "pillow-heif", "tifffile", "scipy",
)  # fmt: skip
_MOST_NATIVE = 60_000
_QT_MESSAGES = 4  # what Qt said just before it gave up often says why


class CrashLog:
    """Listens from ``listen`` to ``end``. ``notice``: the sentence to begin with when the last run went wrong, or "".

    ``private``: gives words that never stand in the file, such as the titles of paintings. A folder that cannot be
    written is put up with.
    """

    def __init__(self, folder: Path, private: Callable[[], Iterable[str]] = tuple) -> None:
        self.folder = folder
        self._private = private
        self._run: TextIO | None = None
        self._native = False
        self._before: tuple[Any, Any, Any] | None = None
        self._qt_before: Any = None
        self._from_qt: deque[str] = deque(maxlen=_QT_MESSAGES)
        self._writing = threading.Lock()
        self.notice = self._brought_over()

    @property
    def file(self) -> Path:
        return self.folder / CRASH_FILE

    def listen(self, *, native: bool = True, qt: bool = True) -> None:
        """Hear of what no one catches, in any thread. What was listening before is still called afterwards."""
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            self._run = self._run_file(os.getpid()).open("w", encoding="utf-8", newline="\n")
            self._run.write(_facts() + _MARK)
            self._run.flush()
            self._native = native
            if native:
                faulthandler.enable(self._run)
        self._before = (sys.excepthook, threading.excepthook, sys.unraisablehook)
        sys.excepthook, threading.excepthook, sys.unraisablehook = self._raised, self._raised_aside, self._passed_over
        if qt:
            from PySide6.QtCore import qInstallMessageHandler

            self._qt_before = qInstallMessageHandler(self._said_by_qt)

    def end(self, *, qt: bool = True) -> None:
        """Stop listening. Where nothing went wrong, nothing is left of this run."""
        if self._before is not None:
            sys.excepthook, threading.excepthook, sys.unraisablehook = self._before
            self._before = None
        if qt:
            from PySide6.QtCore import qInstallMessageHandler

            qInstallMessageHandler(self._qt_before)
        if self._run is None:
            return
        if self._native:
            faulthandler.disable()
        run, self._run = self._run, None
        with suppress(OSError):
            run.close()
            file = Path(run.name)
            if not _after_mark(file.read_text(encoding="utf-8", errors="replace")):
                file.unlink()

    def write(self, what: str, text: str) -> None:
        """Add an entry; ``text`` is without the painter's words already. Never raises over the disk."""
        with self._writing, suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            self._turn_over()
            with self.file.open("a", encoding="utf-8", newline="\n") as file:
                file.write(f"{_now()}  {what}\n{_facts()}{text.rstrip()}\n\n")
            if self._run is not None:
                self._run.write(_WROTE)
                self._run.flush()

    def _turn_over(self) -> None:
        if self.file.exists() and self.file.stat().st_size > MOST_BYTES:
            os.replace(self.file, self.folder / OLDER_FILE)

    def _words(self) -> tuple[str, ...]:
        """The painter's own name, the home folder's, and what ``private`` gives."""
        words = [Path.home().name]
        with suppress(Exception):
            words.append(getpass.getuser())
        with suppress(Exception):
            words += self._private()
        return tuple(words)

    # What is heard of.

    def _keep(self, where: str, error: BaseException | None, trace: TracebackType | None) -> None:
        if error is not None and not isinstance(error, KeyboardInterrupt | SystemExit):
            self.write(f"not foreseen, {where}", trace_of(error, trace, self._words()))

    def _raised(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        self._keep("in the window", error, trace)
        if self._before is not None:
            self._before[0](kind, error, trace)

    def _raised_aside(self, told: threading.ExceptHookArgs) -> None:
        self._keep("in a thread beside the window", told.exc_value, told.exc_traceback)
        if self._before is not None:
            self._before[1](told)

    def _passed_over(self, told: Any) -> None:
        self._keep("where it could not be handed on", told.exc_value, told.exc_traceback)
        if self._before is not None:
            self._before[2](told)

    def _said_by_qt(self, kind: Any, context: Any, message: str) -> None:
        from PySide6.QtCore import QtMsgType

        self._from_qt.append(message)
        if kind == QtMsgType.QtFatalMsg:
            self.write("Qt gave up", "\n".join(without_private(said, self._words()) for said in self._from_qt))
        if self._qt_before is not None:
            self._qt_before(kind, context, message)
        elif sys.stderr is not None:
            print(message, file=sys.stderr)

    # What the run before left.

    def _run_file(self, process: int) -> Path:
        return self.folder / _RUN_FILE.format(process)

    def _brought_over(self) -> str:
        notice = ""
        with suppress(OSError):
            for file in sorted(self.folder.glob(_RUN_FILE.format("*"))):
                if _is_running(file):
                    continue
                before, _, after = file.read_text(encoding="utf-8", errors="replace")[:_MOST_NATIVE].partition(_MARK)
                file.unlink()
                native = after.replace(_WROTE, "").strip()
                if native:
                    self.write("stopped by the system", f"as it began:\n{before}{native_trace(native, self._words())}")
                if after:
                    notice = STOPPED if native or notice == STOPPED else WENT_WRONG
        return notice


@contextmanager
def listening(machine: "Machine", window: "MainWindow", unexpected: Callable[..., None]) -> Iterator[CrashLog]:
    """While the window is open: ``unexpected`` tells the painter of what no one catches, which is also written down;
    and what went wrong in the run before is told, with the folder of the file to open."""
    from app.message import Offer

    def private() -> Iterator[str]:
        for recent in machine.kept.recent:
            yield from (recent.title, Path(recent.folder).name)

    def open_folder() -> None:
        window.dialogs.open_file(machine.folder)

    log = CrashLog(machine.folder, private)
    before, sys.excepthook = sys.excepthook, unexpected
    log.listen()
    try:
        if log.notice:
            window.say(log.notice, Offer(OPEN_FOLDER, open_folder))
        yield log
    finally:
        log.end()
        sys.excepthook = before


def _after_mark(text: str) -> str:
    return text.partition(_MARK)[2]


def _is_running(file: Path) -> bool:
    """Whether the run that writes the file still goes on. On Windows its file cannot be taken away while it does."""
    process = file.stem.rpartition(" ")[2]
    if sys.platform == "win32" or not process.isdecimal():
        return False
    if int(process) == os.getpid():
        return False  # the number of an earlier run, given out again
    try:
        os.kill(int(process), 0)
    except PermissionError:
        return True
    except OSError:
        return False
    return True


def _now() -> str:
    return datetime.now().astimezone().isoformat(" ", "seconds")


def _facts() -> str:
    packages = ", ".join(f"{name} {_version(name)}" for name in _PACKAGES)
    return f"Easelside {VERSION}, Python {platform.python_version()}, {platform.platform()}\n{packages}{_qt()}\n"


def _qt() -> str:
    """Qt's own version, once it is loaded."""
    core = sys.modules.get("PySide6.QtCore")
    return f", Qt {core.qVersion()}" if core is not None else ""


@cache
def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "?"
