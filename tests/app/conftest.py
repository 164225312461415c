"""Tests of the window run without a screen, and fail when they leave a window, a thread or a timer behind."""

import os

os.environ["QT_QPA_PLATFORM"] = "offscreen"

import threading
import traceback
import weakref
from collections.abc import Callable, Iterator
from typing import Any

import pytest
import shiboken6
from PySide6.QtCore import QEvent, QObject, QThread, QTimer
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.look import apply_look
from app.work import Worker

_PATIENCE_S = 1.0
_LONGEST_MS = 30_000


def pytest_itemcollected(item: pytest.Item) -> None:
    # Said by the screenless platform itself whenever any window is shown; every other Qt warning fails the test.
    missing = (f"This plugin does not support {what}" for what in ("propagateSizeHints", "raise"))
    item.add_marker(pytest.mark.qt_log_ignore(*missing))


@pytest.fixture(scope="session")
def qapp(qapp: QApplication) -> QApplication:
    """The application in its own fonts and colours."""
    apply_look(qapp, high_contrast=False)
    return qapp


class PatientBot(QtBot):
    """Waits as long as a busy machine may need; what never comes still fails."""

    def waitUntil(self, callback: Callable[[], Any], *, timeout: int = _LONGEST_MS) -> None:  # noqa: N802
        super().waitUntil(callback, timeout=timeout)

    def waitSignal(self, signal: Any, *, timeout: int = _LONGEST_MS, **options: Any) -> Any:  # noqa: N802
        return super().waitSignal(signal, timeout=timeout, **options)

    def waitSignals(self, signals: Any, *, timeout: int = _LONGEST_MS, **options: Any) -> Any:  # noqa: N802
        return super().waitSignals(signals, timeout=timeout, **options)


@pytest.fixture
def qtbot(qapp: QApplication, request: pytest.FixtureRequest) -> QtBot:
    return PatientBot(request)


@pytest.fixture
def worker() -> Iterator[Worker]:
    """A worker that does everything at once, in the thread of the test."""
    made = Worker(synchronous=True)
    yield made
    made.close()


@pytest.fixture
def threaded_worker(qapp: QApplication) -> Iterator[Worker]:
    """A worker with real threads; closed at the end."""
    made = Worker()
    yield made
    assert made.close(5000)


class Started:
    """Remembers who started what, so that a leak can be traced to its line."""

    def __init__(self) -> None:
        self.objects: weakref.WeakKeyDictionary[Any, str] = weakref.WeakKeyDictionary()

    def watch(self, monkeypatch: pytest.MonkeyPatch, kind: type) -> None:
        start: Callable[..., Any] = kind.start  # type: ignore[attr-defined]

        def remembered(this: Any, *arguments: Any, **options: Any) -> Any:
            self.objects[this] = "".join(traceback.format_stack(limit=8)[:-1])
            return start(this, *arguments, **options)

        monkeypatch.setattr(kind, "start", remembered)

    def still(self, kind: type, running: Callable[[Any], bool]) -> list[str]:
        found = [(each, origin) for each, origin in self.objects.items() if isinstance(each, kind)]
        return [f"{each!r}, started at\n{origin}" for each, origin in found if _alive(each) and running(each)]


@pytest.fixture(autouse=True)
def nothing_left_behind(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Fail a test that leaves a top-level widget, a running thread or an active timer; say where it came from."""
    started = Started()
    for kind in (QTimer, QThread, threading.Thread):
        started.watch(monkeypatch, kind)
    application = QApplication.instance()
    before = set(map(id, QApplication.topLevelWidgets())) if application else set()
    threads = set(threading.enumerate())
    yield
    left = started.still(QTimer, QTimer.isActive)
    if QApplication.instance() is not None:
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        left += [_described(w) for w in QApplication.topLevelWidgets() if id(w) not in before and _alive(w)]
    for thread in set(threading.enumerate()) - threads:
        thread.join(_PATIENCE_S)
    left += started.still(QThread, QThread.isRunning)
    left += started.still(threading.Thread, threading.Thread.is_alive)
    assert not left, f"{request.node.nodeid} left behind:\n" + "\n".join(left)


def _alive(thing: Any) -> bool:
    return not isinstance(thing, QObject) or shiboken6.isValid(thing)


def _described(widget: Any) -> str:
    title = widget.windowTitle() or widget.objectName() or widget.accessibleName() or "untitled"
    return f"the window “{title}” of class {type(widget).__module__}.{type(widget).__qualname__}"
