"""Photos from a phone, as the window shows it: the code, what comes onto the ledge, and that it closes."""

import http.client
import tempfile
import threading
from functools import partial
from pathlib import Path
from urllib.parse import urlsplit

import cv2
import numpy as np
import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.handover import phone_page
from app.handover.hand_over import HandOver
from app.work import Worker
from tests.app.window_case import Easel, make_easel, make_painting, reference_photo


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Easel:
    here = partial(HandOver, addresses=lambda: ("127.0.0.1",))
    monkeypatch.setattr(phone_page, "HandOver", here)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    made = make_easel(qtbot, worker, tmp_path)
    made.window.open_painting(make_painting(tmp_path))
    return made


def page(easel: Easel) -> phone_page.PhonePage:
    return easel.desk.placing.phone


def begin(qtbot: QtBot, easel: Easel) -> str:
    easel.press("phone")
    qtbot.waitUntil(lambda: page(easel).hand_over.url != "")
    return page(easel).hand_over.url


def in_background(qtbot: QtBot, work) -> object:
    """What a phone does, while the window goes on."""
    told: list[object] = []
    thread = threading.Thread(target=lambda: told.append(work()), daemon=True)
    thread.start()
    qtbot.waitUntil(lambda: bool(told))
    thread.join()
    return told[0]


def opened(url: str) -> tuple[int, str]:
    """What the page's address answers, and the phone's cookie."""
    place = urlsplit(url)
    connection = http.client.HTTPConnection(place.netloc, timeout=10)
    connection.request("GET", place.path)
    answer = connection.getresponse()
    answer.read()
    connection.close()
    return answer.status, (answer.getheader("Set-Cookie") or "").split(";")[0]


def sent(url: str, cookie: str, data: bytes, name: str, number: int = 1) -> int:
    connection = http.client.HTTPConnection(urlsplit(url).netloc, timeout=20)
    headers = {"Cookie": cookie, "X-Photo-Name": name, "Content-Type": "image/jpeg"}
    connection.request("PUT", f"/photo/{number:032x}", data, headers)
    status = connection.getresponse().status
    connection.close()
    return status


def test_the_code_on_the_screen_is_the_address(qtbot: QtBot, easel: Easel) -> None:
    url = begin(qtbot, easel)
    assert page(easel).address.text() == url
    assert "127.0.0.1" in page(easel).listening.text()
    assert "network you trust" in page(easel).listening.text()
    page(easel).code.resize(400, 400)
    image = (
        page(easel).code.grab().toImage().convertToFormat(page(easel).code.grab().toImage().Format.Format_Grayscale8)
    )
    codes = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.bytesPerLine())[:, : image.width()]
    read, _, _ = cv2.QRCodeDetector().detectAndDecode(cv2.resize(codes, None, fx=2, fy=2))
    assert read == url


def test_photos_come_onto_the_ledge_and_leave_nothing_behind(qtbot: QtBot, easel: Easel, tmp_path: Path) -> None:
    url = begin(qtbot, easel)
    (tmp_path / "made").mkdir()
    data = reference_photo(tmp_path / "made").read_bytes() + b"1"
    status, cookie = in_background(qtbot, lambda: opened(url))
    assert status == 200
    qtbot.waitUntil(lambda: "used up" in page(easel).says.text())
    assert in_background(qtbot, lambda: sent(url, cookie, data, "IMG_1.jpg")) in {200, 201, 204}
    qtbot.waitUntil(lambda: "is on the ledge." in page(easel).news.text())
    assert len(easel.desk.studio.canvas_photos) == 1
    qtbot.keyClick(page(easel), Qt.Key.Key_Escape)
    assert not easel.desk.placing.is_away
    assert not page(easel).hand_over.is_open
    assert not list(tmp_path.glob("easelside phone*"))


def test_a_second_phone_needs_a_new_code(qtbot: QtBot, easel: Easel) -> None:
    url = begin(qtbot, easel)
    assert in_background(qtbot, lambda: opened(url))[0] == 200
    assert in_background(qtbot, lambda: opened(url))[0] == 403
    page(easel).again.click()
    fresh = page(easel).hand_over.url
    assert fresh != url
    assert in_background(qtbot, lambda: opened(fresh))[0] == 200


def test_on_no_network_it_says_what_to_do_and_tries_again(
    qtbot: QtBot, easel: Easel, monkeypatch: pytest.MonkeyPatch
) -> None:
    page(easel).hand_over._addresses = lambda: ()
    easel.press("phone")
    qtbot.waitUntil(lambda: "no local network" in page(easel).says.text())
    page(easel).hand_over._addresses = lambda: ("127.0.0.1",)
    page(easel).again.click()
    qtbot.waitUntil(lambda: page(easel).hand_over.url != "")


def test_closing_the_painting_closes_it(qtbot: QtBot, easel: Easel) -> None:
    begin(qtbot, easel)
    hand_over = page(easel).hand_over
    easel.press("close")
    assert not hand_over.is_open


def test_a_painting_to_look_at_takes_no_photos(qtbot: QtBot, easel: Easel, tmp_path: Path) -> None:
    easel.press("close")
    easel.window.open_painting(tmp_path / "painting", look_only=True)
    easel.press("phone")
    assert "only to look" in easel.said
    assert not easel.desk.placing.is_away
