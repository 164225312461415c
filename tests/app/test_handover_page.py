"""The phone's page in a real browser, the size of a phone: its own script sends real photos.

Skipped, saying so, where there is no Chromium (``apt-get install chromium``).
"""

import asyncio
import base64
import itertools
import os
import re
import shutil
import subprocess
import time
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import aiohttp
import pytest
from PIL import Image
from PySide6.QtGui import QColor

from app import look
from app.handover.server import OTHER_PHONE

from .handover_case import SHORT, Place, in_loop, picture, serving

CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), "")
pytestmark = pytest.mark.skipif(not CHROMIUM, reason="no Chromium here: the phone's page was not opened in a browser")

PATIENT = replace(SHORT, request_s=10, stall_s=10, grace_s=10)
PHONE = (390, 844)
ARRIVED = "On the computer"


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where a headless browser listens to its own debugging protocol."""
    home = tmp_path_factory.mktemp("browser")
    flags = ["--headless=new", "--remote-debugging-port=0", f"--user-data-dir={home}", "--no-first-run",
             "--disable-gpu", "--disable-dev-shm-usage", "--disable-extensions", "--disable-background-networking",
             "--disable-component-update", "--no-default-browser-check"]  # fmt: skip
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        flags.append("--no-sandbox")  # it does not start as root otherwise
    with (home / "said").open("wb") as said:
        process = subprocess.Popen([CHROMIUM, *flags, "about:blank"], stdout=said, stderr=said)
    told = home / "DevToolsActivePort"
    try:
        until = time.monotonic() + 30
        while not (told.is_file() and told.read_text().count("\n") == 1):
            assert process.poll() is None and time.monotonic() < until, (home / "said").read_text()  # noqa: PT018
            time.sleep(0.05)
        port, path = told.read_text().split("\n")
        yield f"ws://127.0.0.1:{port}{path}"
    finally:
        process.terminate()
        process.wait(20)


@dataclass
class Tab:
    """A page of the browser, driven by the DevTools protocol."""

    socket: aiohttp.ClientWebSocketResponse
    session: str = ""
    heard: list[dict[str, Any]] = field(default_factory=list)
    numbers: Iterator[int] = field(default_factory=lambda: itertools.count(1))

    async def do(self, method: str, **values: Any) -> dict[str, Any]:
        number = next(self.numbers)
        message = {"id": number, "method": method, "params": values}
        await self.socket.send_json(message | ({"sessionId": self.session} if self.session else {}))
        async with asyncio.timeout(20):
            while (answer := await self.socket.receive_json()).get("id") != number:
                self.heard.append(answer)
        assert "error" not in answer, answer
        return dict(answer["result"])

    async def value(self, script: str) -> Any:
        answer = await self.do("Runtime.evaluate", expression=script, returnByValue=True)
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    async def until(self, script: str) -> None:
        async with asyncio.timeout(20):
            while not await self.value(script):
                await asyncio.sleep(0.03)

    async def choose(self, *files: Path, by: str = "#choose") -> None:
        root = await self.do("DOM.getDocument")
        node = await self.do("DOM.querySelector", nodeId=root["root"]["nodeId"], selector=by)
        await self.do("DOM.setFileInputFiles", nodeId=node["nodeId"], files=[str(file) for file in files])

    async def states(self) -> list[str]:
        return list(await self.value("Array.from(document.querySelectorAll('#photos span'), (s) => s.textContent)"))

    async def offline(self, offline: bool) -> None:
        await self.network(offline=offline, uploadThroughput=-1)

    async def throttle(self, bytes_per_s: float) -> None:
        await self.network(offline=False, uploadThroughput=bytes_per_s)

    async def network(self, **how: Any) -> None:
        await self.do("Network.emulateNetworkConditions", latency=0, downloadThroughput=-1, **how)

    async def shot(self, file: Path) -> tuple[int, int]:
        """A picture of what is in sight; its size in pixels."""
        file.write_bytes(base64.b64decode((await self.do("Page.captureScreenshot"))["data"]))
        with Image.open(file) as seen:
            return seen.size

    def said(self, method: str) -> list[dict[str, Any]]:
        return [each["params"] for each in self.heard if each.get("method") == method]


@asynccontextmanager
async def tab_of(browser: str, place: Place, size: tuple[int, int] = PHONE) -> AsyncIterator[Tab]:
    """The page, opened as the phone opens it; nothing in it may have been blocked or have failed."""
    async with aiohttp.ClientSession() as client, client.ws_connect(browser, max_msg_size=0) as socket:
        tab = Tab(socket)
        # A context of its own, like a private window: no cookie of another test.
        context = (await tab.do("Target.createBrowserContext"))["browserContextId"]
        target = (await tab.do("Target.createTarget", url="about:blank", browserContextId=context))["targetId"]
        tab.session = (await tab.do("Target.attachToTarget", targetId=target, flatten=True))["sessionId"]
        for part in ("Page", "DOM", "Network", "Runtime", "Log"):
            await tab.do(f"{part}.enable")
        await tab.do(
            "Emulation.setDeviceMetricsOverride", width=size[0], height=size[1], deviceScaleFactor=1, mobile=True
        )
        await tab.do("Page.navigate", url=place.url)
        await tab.until("document.readyState === 'complete' && Boolean(document.getElementById('summary'))")
        try:
            yield tab
        finally:
            tab.session = ""
            await tab.do("Target.disposeBrowserContext", browserContextId=context)
        assert tab.said("Runtime.exceptionThrown") == []
        assert not [entry for entry in tab.said("Log.entryAdded") if "Content Security" in entry["entry"]["text"]]
        asked = {each["request"]["url"].split("/")[2] for each in tab.said("Network.requestWillBeSent")}
        assert asked == {place.host}


def laid(folder: Path, count: int) -> list[Path]:
    """Real JPEG files."""
    folder.mkdir()
    for number in range(count):
        (folder / f"IMG {number}.jpg").write_bytes(picture(seed=number))
    return sorted(folder.iterdir())


@in_loop
async def test_the_page_sends_several_photos_by_its_own_script(tmp_path: Path, browser: str) -> None:
    files = laid(tmp_path / "phone", 5)
    async with serving(tmp_path, PATIENT) as place, tab_of(browser, place) as tab:
        await tab.choose(*files)
        await tab.until(f"document.querySelectorAll('#photos li').length === 5 && Array.from(document.querySelectorAll("
                        f"'#photos span')).every((s) => s.textContent === '{ARRIVED}')")  # fmt: skip
        assert await tab.value("document.getElementById('summary').textContent") == "All 5 photos are on the computer."
        await tab.choose(files[0], by="#camera")
        await tab.until("document.querySelectorAll('#photos li').length === 6")
        await place.until(lambda: len(place.photos) == 6)
        assert await tab.shot(tmp_path / "page.png") == PHONE
    assert [came.name for came in place.photos[5:]] == ["IMG 0.jpg"]
    came_as = {came.name: came.path.read_bytes() for came in place.photos}
    assert came_as == {file.name: file.read_bytes() for file in files}


@in_loop
async def test_a_photo_waits_for_the_network_and_goes_when_it_is_back(tmp_path: Path, browser: str) -> None:
    (file,) = laid(tmp_path / "phone", 1)
    async with serving(tmp_path, PATIENT) as place, tab_of(browser, place) as tab:
        await tab.offline(True)
        await tab.choose(file)
        await tab.until("document.querySelector('#photos span').textContent.startsWith('The connection was lost')")
        assert place.photos == []
        await tab.offline(False)
        await tab.until(f"document.querySelector('#photos span').textContent === '{ARRIVED}'")
        assert [came.name for came in place.photos] == [file.name]


@in_loop
async def test_the_share_that_has_gone_is_shown(tmp_path: Path, browser: str) -> None:
    file = tmp_path / "IMG 1.jpg"
    file.write_bytes(picture(size=(640, 480)))
    async with serving(tmp_path, replace(PATIENT, photo_bytes=2_000_000)) as place, tab_of(browser, place) as tab:
        await tab.throttle(file.stat().st_size)
        await tab.choose(file)
        await tab.until("document.querySelector('progress').value > 0.2")
        (words,) = await tab.states()
        await tab.shot(tmp_path / "page.png")
        assert re.fullmatch(r"Sending, \d+ %", words)
        assert await tab.value("document.querySelector('progress').hidden") is False
        await tab.until(f"document.querySelector('#photos span').textContent === '{ARRIVED}'")
        assert await tab.value("document.querySelector('progress').hidden")
        assert [came.path.read_bytes() for came in place.photos] == [file.read_bytes()]


@in_loop
async def test_what_is_refused_is_said_beside_the_photo(tmp_path: Path, browser: str) -> None:
    (folder := tmp_path / "phone").mkdir()
    (folder / "words.jpg").write_bytes(b"just words")
    (folder / "large.jpg").write_bytes(bytes(SHORT.photo_bytes + 1))
    async with serving(tmp_path, PATIENT) as place, tab_of(browser, place) as tab:
        await tab.choose(folder / "words.jpg", folder / "large.jpg")
        await tab.until(
            "Array.from(document.querySelectorAll('#photos span')).every((s) => s.textContent.startsWith('Not'))"
        )
        large, words = await tab.states()
        await tab.shot(tmp_path / "page.png")
        assert "larger than 0.3 MB" in large
        assert "not a photo" in words
        assert (
            await tab.value("document.getElementById('summary').textContent") == "0 of 2 on the computer, 2 not sent."
        )
        place.entry.renew()
        await tab.choose(*laid(tmp_path / "more", 1))
        await tab.until(f"document.getElementById('summary').textContent === {OTHER_PHONE!r}")
        assert place.photos == []


@pytest.mark.parametrize("size", [(320, 568), PHONE])
@in_loop
async def test_the_page_is_large_and_plain_on_a_small_phone(
    tmp_path: Path, browser: str, size: tuple[int, int]
) -> None:
    (file,) = laid(tmp_path / "phone", 1)
    long = file.rename(file.with_name("A" * 120 + ".jpg"))
    async with serving(tmp_path, PATIENT) as place, tab_of(browser, place, size) as tab:
        await tab.choose(long)
        await tab.until(f"document.querySelector('#photos span')?.textContent === '{ARRIVED}'")
        assert await tab.value("document.documentElement.scrollWidth") <= size[0]
        boxes = await tab.value(
            "Array.from(document.querySelectorAll('label'), (l) => l.getBoundingClientRect().toJSON())"
        )
        assert boxes[0]["height"] >= 160
        assert all(box["width"] >= size[0] * 0.85 and box["height"] >= look.TARGET_PX for box in boxes)
        assert await tab.shot(tmp_path / "page.png") == size
        assert boxes[1]["bottom"] <= size[1]  # both ways to a photo are in sight without scrolling
        words = await tab.value(_WORDS)
        assert len(words) >= 7
        for text, ink, ground, px in words:
            assert look.contrast(_colour(ink), _colour(ground)) >= 4.5, text  # WCAG 2.2, 1.4.3, level AA
            assert px >= 16, text


# Every piece of text in sight: its words, its colour, that of what it stands on, and its size.
_WORDS = """Array.from(document.querySelectorAll('h1, label, p, li b, li span')).filter((e) => e.offsetParent)
.map((e) => {
    let ground = e;
    while (getComputedStyle(ground).backgroundColor === 'rgba(0, 0, 0, 0)') ground = ground.parentElement;
    const style = getComputedStyle(e);
    return [e.textContent, style.color, getComputedStyle(ground).backgroundColor, parseFloat(style.fontSize)];
})"""


def _colour(css: str) -> QColor:
    red, green, blue = (int(part) for part in css.removeprefix("rgb(").removesuffix(")").split(","))
    return QColor(red, green, blue)
