"""The hand-over as the window has it: real threads, a real client, and signals in the thread of the window."""

import http.client
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QThread
from pytestqt.qtbot import QtBot

from app.handover.hand_over import (
    CLOSED,
    CLOSED_IDLE,
    NO_NETWORK,
    NOT_THERE,
    TRUST,
    HandOver,
    listening_words,
)
from app.handover.server import Listening

from .handover_case import HERE, SHORT, picture


@dataclass
class Heard:
    hand_over: HandOver
    opened: list[tuple[Listening, str]] = field(default_factory=list)
    phones: list[bool] = field(default_factory=list)
    photos: list[tuple[Path, str]] = field(default_factory=list)
    closed: list[str] = field(default_factory=list)
    threads: set[bool] = field(default_factory=set)

    def __post_init__(self) -> None:
        here = QThread.currentThread()
        made = self.hand_over
        made.opened.connect(lambda at, url: self.opened.append((at, url)))
        made.phone_came.connect(lambda: self.phones.append(True))
        made.photo_came.connect(lambda path, name: self.photos.append((path, name)))
        made.closed.connect(self.closed.append)
        for signal in (made.opened, made.photo_came, made.closed):
            signal.connect(lambda *_: self.threads.add(QThread.currentThread() is here))


@pytest.fixture
def heard(qtbot: QtBot) -> Iterator[Heard]:
    made = Heard(HandOver(limits=SHORT, addresses=lambda: (HERE,)))
    yield made
    assert made.hand_over.close()
    assert not [thread for thread in threading.enumerate() if thread.name.startswith("easelside-work")]


def call(url: str, method: str = "GET", body: bytes | None = None, **headers: str) -> tuple[int, str, bytes]:
    """Status, the cookie that was set, and the body."""
    host, _, path = url.removeprefix("http://").partition("/")
    line = http.client.HTTPConnection(host, timeout=10)
    try:
        line.request(method, f"/{path}", body, headers)
        answer = line.getresponse()
        return answer.status, (answer.getheader("Set-Cookie") or "").split(";")[0], answer.read()
    finally:
        line.close()


def opened(heard: Heard, qtbot: QtBot, folder: Path) -> str:
    heard.hand_over.open(folder)
    qtbot.waitUntil(lambda: bool(heard.opened))
    return heard.opened[-1][1]


def test_it_is_off_until_it_is_opened(heard: Heard, tmp_path: Path) -> None:
    assert not heard.hand_over.is_open
    assert heard.hand_over.url == ""
    assert heard.opened == heard.closed == list(tmp_path.iterdir()) == []


def test_photos_come_to_the_window(heard: Heard, qtbot: QtBot, tmp_path: Path) -> None:
    url = opened(heard, qtbot, tmp_path)
    assert heard.hand_over.is_open
    assert url == heard.hand_over.url
    status, mark, page = call(url)
    assert status == 200
    assert b"<!DOCTYPE html>" in page
    origin = url.rpartition("/")[0]
    for number in range(2):
        headers = {"Cookie": mark, "X-Photo-Name": f"IMG%20{number}.jpg"}
        assert call(f"{origin}/photo/{number:032x}", "PUT", picture(seed=number), **headers)[0] == 201
    qtbot.waitUntil(lambda: len(heard.photos) == 2)
    assert [(path.read_bytes(), name) for path, name in heard.photos] == [
        (picture(seed=number), f"IMG {number}.jpg") for number in range(2)
    ]
    assert heard.phones == [True]
    assert heard.hand_over.close()
    assert heard.closed == [CLOSED]
    assert heard.threads == {True}
    with pytest.raises(OSError, match="refused"):
        call(url)


def test_a_photo_that_came_just_before_closing_is_still_told_of(heard: Heard, qtbot: QtBot, tmp_path: Path) -> None:
    url = opened(heard, qtbot, tmp_path)
    _, mark, _ = call(url)
    assert call(f"{url.rpartition('/')[0]}/photo/{1:032x}", "PUT", picture(), Cookie=mark)[0] == 201
    heard.hand_over.close()
    qtbot.waitUntil(lambda: len(heard.photos) == 1)
    assert heard.phones == []


def test_opened_again_it_has_another_code(heard: Heard, qtbot: QtBot, tmp_path: Path) -> None:
    first = opened(heard, qtbot, tmp_path)
    heard.hand_over.open(tmp_path)  # it is open: nothing more happens
    heard.hand_over.close()
    assert heard.hand_over.url == ""
    heard.opened.clear()
    second = opened(heard, qtbot, tmp_path)
    assert first.rpartition("/")[2] != second.rpartition("/")[2]
    assert len(heard.opened) == 1


def test_a_new_code_takes_the_place_of_the_used_one(heard: Heard, qtbot: QtBot, tmp_path: Path) -> None:
    first = opened(heard, qtbot, tmp_path)
    assert call(first)[0] == 200
    assert call(first)[0] == 403
    heard.hand_over.new_code()
    second = heard.opened[-1][1]
    assert second != first
    assert call(first)[0] == 403
    assert call(second)[0] == 200


def test_it_says_that_it_closed_itself(qtbot: QtBot, tmp_path: Path) -> None:
    heard = Heard(HandOver(limits=replace(SHORT, idle_s=0.1), addresses=lambda: (HERE,)))
    opened(heard, qtbot, tmp_path)
    qtbot.waitUntil(lambda: bool(heard.closed))
    assert heard.closed == [CLOSED_IDLE.format(minutes=0.1 / 60)]
    assert not heard.hand_over.is_open
    assert heard.hand_over.close()
    assert len(heard.closed) == 1


@pytest.mark.parametrize(
    ("addresses", "address", "why"),
    [((), None, NO_NETWORK), ((HERE,), "8.8.8.8", NOT_THERE), ((HERE,), "elsewhere.example", NOT_THERE)],
)
def test_why_it_could_not_be_opened_is_told(
    qtbot: QtBot, tmp_path: Path, addresses: tuple[str, ...], address: str | None, why: str
) -> None:
    heard = Heard(HandOver(limits=SHORT, addresses=lambda: addresses))
    heard.hand_over.open(tmp_path, address)
    qtbot.waitUntil(lambda: bool(heard.closed))
    assert heard.closed == [why]
    assert heard.opened == []
    assert not heard.hand_over.is_open


def test_closed_while_it_opens_it_stays_closed(heard: Heard, qtbot: QtBot, tmp_path: Path) -> None:
    heard.hand_over.open(tmp_path)
    assert heard.hand_over.close()
    qtbot.wait(50)
    assert heard.opened == []
    assert heard.closed == [CLOSED]


def test_news_of_an_earlier_opening_is_not_taken_for_the_new_one(heard: Heard, qtbot: QtBot, tmp_path: Path) -> None:
    heard.hand_over.open(tmp_path)
    until = time.monotonic() + 10
    while not list(tmp_path.iterdir()) and time.monotonic() < until:
        time.sleep(0.005)  # the window hears nothing meanwhile
    heard.hand_over.close()
    url = opened(heard, qtbot, tmp_path)
    qtbot.wait(50)
    assert len(heard.opened) == 1
    assert call(url)[0] == 200


def test_where_it_listens_is_said_with_whom_to_trust() -> None:
    said = listening_words(Listening("192.168.1.5", "192.168.1.5:4711"))
    assert "192.168.1.5:4711" in said
    assert TRUST in said
    everywhere = listening_words(Listening("0.0.0.0", "192.168.1.5:4711"))
    assert "every network" in everywhere
    assert TRUST in everywhere


def test_the_window_starts_without_the_server(qapp: Any) -> None:
    import subprocess
    import sys

    code = "import sys, app.handover.hand_over; print([m for m in ('aiohttp', 'segno') if m in sys.modules])"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert told.stdout.strip() == "[]"
