"""The newest frame is given, once; nothing that hangs makes its caller hang."""

import threading

import numpy as np
import pytest

from core.errors import CameraError
from core.frames.newest import NewestSource
from core.frames.opening import Capture
from tests.core.frames.source_case import LIMIT_S, FakeCapture, no_thread_left, plain, took


def _source(capture: FakeCapture, limit_s: float = LIMIT_S) -> NewestSource:
    return NewestSource(
        "a camera",
        lambda: Capture(capture(), lambda _: "It ended."),
        limit_s=limit_s,
        asleep="Asleep.",
        silent="Hangs.",
    )


def test_the_newest_frame_is_given_and_the_dropped_ones_are_counted() -> None:
    given, goes_on = threading.Event(), threading.Event()
    last = threading.Event()

    def third() -> np.ndarray:
        given.set()
        assert goes_on.wait(5)
        return plain(103)

    def fourth() -> None:
        last.set()
        assert goes_on.wait(5)

    capture = FakeCapture([plain(100), plain(101), plain(102), third, fourth])
    with no_thread_left():
        source = _source(capture)
        assert given.wait(5)  # three have come, none of them was asked for yet
        first = source.read()
        assert (first.number, first.codes[0, 0].tolist()) == (2, [102, 20, 10])
        goes_on.set()
        assert last.wait(5)
        second = source.read()
        assert (second.number, int(second.codes[0, 0, 0])) == (3, 103)
        assert second.taken >= first.taken
        source.close()
    assert capture.released.is_set()


def test_a_frame_is_never_given_twice() -> None:
    hold = threading.Event()
    source = _source(FakeCapture([plain(100), hold.wait]))
    source.read()
    with pytest.raises(CameraError, match="Asleep"):
        source.read()
    hold.set()
    source.close()


def test_the_last_frame_comes_before_the_sentence_that_it_has_ended_again_and_again() -> None:
    source = _source(FakeCapture([plain(100)]), 5.0)
    assert source.read().number == 0
    for _ in range(2):
        with pytest.raises(CameraError, match=r"^It ended\.$"):
            source.read()
    source.close()


def test_an_opening_that_hangs_is_told_in_time_and_let_go_of_later() -> None:
    hold = threading.Event()
    capture = FakeCapture([plain(100)], opening=lambda: hold.wait(10))
    with no_thread_left():

        def opened() -> None:
            with pytest.raises(CameraError, match="Hangs"):
                _source(capture)

        assert took(opened) < LIMIT_S + 1.0
        assert not capture.released.is_set()
        hold.set()
    assert capture.released.is_set()
    assert len(capture.pictures) == 1  # nothing was read of what nobody wants any more


def test_a_read_that_hangs_is_told_in_time_and_a_close_does_not_wait_for_it() -> None:
    hold = threading.Event()
    capture = FakeCapture([plain(100), lambda: hold.wait(10) and None])
    with no_thread_left():
        source = _source(capture)
        source.read()
        with pytest.raises(CameraError, match="Asleep"):
            source.read()
        assert took(source.close) < 2.0
        hold.set()
    assert capture.released.is_set()


def test_closing_ends_a_read_that_waits_in_another_thread_and_may_be_done_twice() -> None:
    hold, told = threading.Event(), []
    source = NewestSource(
        "a camera",
        lambda: Capture(FakeCapture([plain(100), hold.wait]), lambda _: ""),
        limit_s=20.0,
        asleep="",
        silent="",
    )
    source.read()

    def reading() -> None:
        with pytest.raises(CameraError) as caught:
            source.read()
        told.append(str(caught.value))

    reader = threading.Thread(target=reading)
    reader.start()
    source.close()
    source.close()
    reader.join(5)
    hold.set()
    assert told
    assert "closed" in told[0]
    with pytest.raises(CameraError, match="closed"):
        source.read()


def test_a_driver_that_raises_is_told_as_a_sentence() -> None:
    def raises() -> None:
        raise RuntimeError("0x8007")

    with no_thread_left(), pytest.raises(CameraError, match="driver failed"):
        _source(FakeCapture([raises]))
