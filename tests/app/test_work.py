"""Work away from the window: newest only, cancellable, progress past half a second, plain sentences, bounded close."""

import logging
import threading
import time
from typing import Any

import pytest
from PySide6.QtCore import QObject, QThread, Signal
from pytestqt.qtbot import QtBot

from app.work import NO_ROOM, UNEXPECTED, Progress, Worker
from core.errors import CancelledError, PainterError


def test_the_answer_comes_back_in_the_thread_of_the_window(qtbot: QtBot, threaded_worker: Worker) -> None:
    here, worked_in, answered_in = QThread.currentThread(), [], []

    def work(progress: Progress) -> int:
        worked_in.append(threading.current_thread().name)
        return 42

    def done(result: int) -> None:
        answered_in.append((result, QThread.currentThread()))

    threaded_worker.run("value", work, done)
    qtbot.waitUntil(lambda: bool(answered_in))
    assert answered_in == [(42, here)]
    assert worked_in[0] != threading.current_thread().name


def test_only_the_newest_of_a_channel_is_answered(qtbot: QtBot, threaded_worker: Worker) -> None:
    gate, answers, ended = threading.Event(), [], []

    def wait(progress: Progress) -> str:
        gate.wait(5)
        return "old"

    threaded_worker.run("value", wait, answers.append, ended=lambda: ended.append("old"))
    for name in ("middle", "new"):
        threaded_worker.run("value", lambda _, n=name: n, answers.append, ended=lambda n=name: ended.append(n))
    gate.set()
    qtbot.waitUntil(lambda: not threaded_worker.is_busy())
    assert answers == ["new"]
    assert sorted(ended) == ["middle", "new", "old"]


def test_channels_do_not_disturb_each_other(qtbot: QtBot, threaded_worker: Worker) -> None:
    gate, answers = threading.Event(), []
    threaded_worker.run("slow", lambda _: gate.wait(5), answers.append)
    threaded_worker.run("quick", lambda _: "quick", answers.append)
    qtbot.waitUntil(lambda: answers == ["quick"])
    gate.set()
    qtbot.waitUntil(lambda: answers == ["quick", True])


def test_a_channel_that_does_not_listen_leaves_a_thread_for_the_others(qtbot: QtBot, threaded_worker: Worker) -> None:
    gate, answers = threading.Event(), []
    for _ in range(5):
        threaded_worker.run("stubborn", lambda _: gate.wait(5), lambda _: None)
    threaded_worker.run("other", lambda _: "through", answers.append)
    qtbot.waitUntil(lambda: answers == ["through"])
    gate.set()
    qtbot.waitUntil(lambda: not threaded_worker.is_busy())


def test_a_job_stops_where_it_reports(qtbot: QtBot, threaded_worker: Worker) -> None:
    begun, stopped_by, heard = threading.Event(), [], []

    def work(progress: Progress) -> None:
        begun.set()
        try:
            while True:
                progress(0.5)
                time.sleep(0.001)
        except CancelledError as error:
            stopped_by.append(error)
            raise

    job = threaded_worker.run("lay flat", work, heard.append, heard.append, lambda: heard.append("ended"))
    assert begun.wait(5)
    job.cancel()
    qtbot.waitUntil(lambda: heard == ["ended"])
    assert len(stopped_by) == 1
    assert not threaded_worker.is_busy("lay flat")


def test_a_result_that_comes_after_cancelling_is_dropped(qtbot: QtBot, threaded_worker: Worker) -> None:
    begun, gate, heard = threading.Event(), threading.Event(), []

    def work(progress: Progress) -> str:
        begun.set()
        gate.wait(5)
        return "too late"

    threaded_worker.run("value", work, heard.append, ended=lambda: heard.append("ended"))
    assert begun.wait(5)
    threaded_worker.cancel("value")
    gate.set()
    qtbot.waitUntil(lambda: bool(heard))
    assert heard == ["ended"]


def test_a_painters_error_is_told_in_its_own_words(worker: Worker) -> None:
    heard: list[str] = []

    def work(progress: Progress) -> None:
        raise PainterError("The photo is too small. Take it again from nearer.")

    worker.run("value", work, lambda _: heard.append("done"), heard.append, lambda: heard.append("ended"))
    assert heard == ["The photo is too small. Take it again from nearer.", "ended"]


@pytest.mark.parametrize(
    ("error", "sentence"), [(ZeroDivisionError("division by zero"), UNEXPECTED), (MemoryError(), NO_ROOM)]
)
def test_any_other_error_is_logged_and_told_plainly(
    worker: Worker, caplog: pytest.LogCaptureFixture, error: Exception, sentence: str
) -> None:
    heard: list[str] = []

    def work(progress: Progress) -> None:
        raise error

    with caplog.at_level(logging.ERROR, "easelside.work"):
        worker.run("value", work, lambda _: heard.append("done"), heard.append)
    assert heard == [sentence]
    assert caplog.records[0].exc_info is not None
    assert caplog.records[0].exc_info[1] is error


def test_without_a_listener_of_its_own_an_error_goes_to_the_window(qtbot: QtBot, worker: Worker) -> None:
    def work(progress: Progress) -> None:
        raise PainterError("No.")

    with qtbot.waitSignal(worker.failed) as told:
        worker.run("value", work, lambda _: None)
    assert told.args == ["value", "No."]


def test_progress_is_shown_only_past_half_a_second(qtbot: QtBot, threaded_worker: Worker) -> None:
    shown: list[tuple[float, str, float, str]] = []
    began, gate = time.monotonic(), threading.Event()
    threaded_worker.progressed.connect(
        lambda channel, share, say: shown.append((time.monotonic() - began, channel, share, say))
    )

    def slow(progress: Progress) -> str:
        progress(0.25, "Laying flat")
        gate.wait(5)
        return "done"

    threaded_worker.run("quick", lambda _: 1, lambda _: None)
    with qtbot.waitSignal(threaded_worker.idle, check_params_cb=lambda channel: channel == "slow"):
        threaded_worker.run("slow", slow, lambda _: None)
        qtbot.waitUntil(lambda: bool(shown))
        gate.set()
    assert shown[0][0] >= 0.5
    assert {(channel, share, say) for _, channel, share, say in shown} == {("slow", 0.25, "Laying flat")}


def test_work_that_never_reports_is_still_shown_as_under_way(qtbot: QtBot, threaded_worker: Worker) -> None:
    gate = threading.Event()
    with qtbot.waitSignal(threaded_worker.progressed) as shown:
        threaded_worker.run("slow", lambda _: gate.wait(5), lambda _: None)
    assert shown.args == ["slow", -1.0, ""]
    gate.set()
    qtbot.waitUntil(lambda: not threaded_worker.is_busy())


def test_at_once_when_synchronous(worker: Worker) -> None:
    order: list[Any] = []
    job = worker.run("value", lambda progress: progress(0.5) or 7, order.append, ended=lambda: order.append("ended"))
    assert order == [7, "ended"]
    assert job.id == 1
    assert worker.run("value", lambda _: 8, order.append).id == 2
    assert not worker.is_busy()


def test_closing_stops_everything_and_leaves_no_thread(qtbot: QtBot) -> None:
    worker, heard, begun = Worker(), [], threading.Event()

    def work(progress: Progress) -> None:
        begun.set()
        while True:
            progress()
            time.sleep(0.001)

    worker.run("one", work, heard.append, ended=lambda: heard.append("one ended"))
    worker.run("two", lambda _: "two", lambda _: None, ended=lambda: heard.append("two ended"))
    assert begun.wait(5)
    assert worker.close()
    assert sorted(heard) == ["one ended", "two ended"]
    assert not [thread for thread in threading.enumerate() if thread.name.startswith("easelside-work")]
    with pytest.raises(RuntimeError, match="closed"):
        worker.run("three", lambda _: None, heard.append)


def test_closing_does_not_wait_for_ever(qtbot: QtBot) -> None:
    worker, gate, begun, heard = Worker(), threading.Event(), threading.Event(), []

    def work(progress: Progress) -> str:
        begun.set()
        gate.wait(10)
        return "nobody hears this"

    worker.run("deaf", work, heard.append)
    assert begun.wait(5)
    started = time.monotonic()
    assert not worker.close(wait_ms=50)
    assert time.monotonic() - started < 1.0
    worker.deleteLater()
    gate.set()
    qtbot.wait(50)
    assert heard == []


def test_a_closed_panel_is_not_called(qtbot: QtBot, threaded_worker: Worker) -> None:
    class Panel(QObject):
        changed = Signal()

        def show_result(self, result: str) -> None:
            self.changed.emit()
            heard.append(result)

    heard: list[str] = []
    gate, ended, panel = threading.Event(), [], Panel()

    def work(progress: Progress) -> str:
        gate.wait(5)
        return "result"

    threaded_worker.run("value", work, panel.show_result, ended=lambda: ended.append(True))
    panel.deleteLater()
    qtbot.wait(10)
    gate.set()
    qtbot.waitUntil(lambda: bool(ended))
    assert heard == []


def test_an_error_in_the_listener_still_ends_the_job(worker: Worker) -> None:
    ended: list[bool] = []

    def done(result: int) -> None:
        raise ArithmeticError("in the window")

    with pytest.raises(ArithmeticError):
        worker.run("value", lambda _: 1, done, ended=lambda: ended.append(True))
    assert ended == [True]
    assert not worker.is_busy()
