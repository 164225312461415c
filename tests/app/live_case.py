"""What the tests of the live canvas share: a source in the test's hands, a follower that knows, a page."""

import queue
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from threading import Event
from typing import Any

import numpy as np
from PIL import Image
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.live.outside import Outside
from app.live.page import LivePage
from app.live.settings import Kind, Wanted
from app.studio import Studio
from app.work import Worker
from core.canvas.following import Followed
from core.errors import CameraError
from core.frames.frame import Frame
from core.painting import Painting
from core.size import Size
from tests.app.window_case import Answers

CORNERS = np.array([[60.0, 40.0], [580.0, 50.0], [570.0, 430.0], [70.0, 440.0]])
WIDTH, HEIGHT = 640, 480
PULLED = "The camera is gone. Plug it in again."
BUSY = "Another program uses the camera. Close it there, and try again."
CAMERA = Wanted(Kind.CAMERA, "Studio camera", "/dev/video0", 0)


def frame(number: int = 0, code: int = 120, taken: float = 0.0) -> Frame:
    codes = np.full((HEIGHT, WIDTH, 3), code, np.uint8)
    codes[:, : WIDTH // 2, 0] = min(code + 60, 255)
    return Frame(codes, number, taken)


class GivenSource:
    """Gives the frames that the test pushes, and waits for them; an error that is pushed is raised."""

    def __init__(self, name: str = "Studio camera") -> None:
        self.name = name
        self.closed = Event()
        self._waiting: queue.SimpleQueue[Frame | CameraError] = queue.SimpleQueue()

    def push(self, *things: Frame | CameraError) -> None:
        for each in things:
            self._waiting.put(each)

    def read(self) -> Frame:
        found = self._waiting.get(timeout=20.0)
        if isinstance(found, CameraError):
            raise found
        return found

    def close(self) -> None:
        self.closed.set()
        self._waiting.put(CameraError("It was closed."))


@dataclass
class KnowingFollower:
    """Answers what the test says."""

    answer: Followed | None
    asked: int = 0

    def follow(self, frame: Frame) -> Followed | None:
        self.asked += 1
        return self.answer

    def forget(self) -> None: ...


class PlainPicture:
    """The frame's own pixels, thinned to the width that is asked for."""

    def __init__(self, size: Size) -> None:
        self.size = size
        self.looks: list[Any] = []

    def flat(self, frame: Frame, corners_px: Any, *, k1: float, width_px: int, look: Any) -> np.ndarray:
        self.looks.append(look)
        height = max(1, round(width_px * self.size.height_mm / self.size.width_mm))
        rows = np.linspace(0, frame.height - 1, height).astype(int)
        columns = np.linspace(0, frame.width - 1, width_px).astype(int)
        return frame.codes[np.ix_(rows, columns)]

    def as_seen(self, frame: Frame, look: Any) -> np.ndarray:
        self.looks.append(look)
        return frame.codes


class FewFrames:
    """The last ones, to be kept."""

    def __init__(self) -> None:
        self.held: list[Frame] = []

    def add(self, frame: Frame) -> None:
        self.held = [*self.held[-11:], frame]


@dataclass
class World:
    """What is outside: cameras, and what becomes of opening one. ``hangs``: opening waits for this."""

    source: GivenSource = field(default_factory=GivenSource)
    refuses: str = ""
    hangs: Event | None = None
    opened: list[Wanted] = field(default_factory=list)
    places: tuple[Any, ...] = ()
    listed: int = 0
    made: list[PlainPicture] = field(default_factory=list)
    by_tabs: Callable[..., Any] = lambda setup, k1: KnowingFollower(followed())
    by_edges: Callable[..., Any] = lambda size, corners, frame, k1: KnowingFollower(followed("edges", corners))

    def outside(self) -> Outside:
        return Outside(
            cameras=self._cameras,
            open=self._open,
            by_tabs=self.by_tabs,
            by_edges=self.by_edges,
            picture=self._picture,  # type: ignore[arg-type]
            memory=FewFrames,  # type: ignore[arg-type]
            keep=_keep,  # type: ignore[arg-type]
        )

    def _cameras(self) -> Any:
        self.listed += 1
        return self.places

    def _open(self, wanted: Wanted) -> GivenSource:
        self.opened.append(wanted)
        if self.hangs is not None:
            assert self.hangs.wait(20.0)
        if self.refuses:
            raise CameraError(self.refuses)
        if self.source.closed.is_set():
            self.source = GivenSource()
        return self.source

    def _picture(self, size: Size) -> PlainPicture:
        self.made.append(PlainPicture(size))
        return self.made[-1]


def _keep(memory: FewFrames, path: Path) -> str:
    if not memory.held:
        raise CameraError("No frame has come yet.")
    Image.fromarray(memory.held[-1].codes).save(path)
    return f"Kept, from the sharpest of {len(memory.held)} frames"


def followed(by: Any = "tabs", corners: Any = CORNERS, **more: Any) -> Followed:
    tabs = (0, 1, 2, 3) if by == "tabs" else ()
    return Followed(np.asarray(corners, dtype=np.float64), 0.0, more.pop("uncertainty_mm", 0.1), by, tabs, **more)


@dataclass
class Live:
    """The live page before a painter, the cameras in the test's hands."""

    page: LivePage
    studio: Studio
    world: World
    said: list[str]

    def press(self, name: str) -> None:
        """What the window's action of this name does on the page."""
        self.page.handlers()[name]()

    def run(self, qtbot: QtBot, *, code: int = 120) -> None:
        """The camera is opened and its first frame on the screen."""
        self.page.open(CAMERA)
        qtbot.waitUntil(self.is_watched)
        self.give(qtbot, frame(code=code))

    def follow(self, qtbot: QtBot, **options: Any) -> None:
        """The same, with the canvas followed."""
        self.page.open(CAMERA)
        qtbot.waitUntil(self.is_watched)
        self.page.feed.follower = KnowingFollower(followed(**options))
        self.give(qtbot, frame())

    def give(self, qtbot: QtBot, *frames: Frame) -> None:
        """Give frames, and wait until the last is shown."""
        self.world.source.push(*frames)
        qtbot.waitUntil(lambda: self.page.show_on.shot is not None and self.page.show_on.shot.frame is frames[-1])

    def is_watched(self) -> bool:
        return self.page.currentWidget() is self.page.watch

    @property
    def state(self) -> str:
        self.page._tell()
        return self.page.foot.says.text()

    @property
    def shown(self) -> list[str]:
        """The titles on its wall."""
        return [each.title for each in self.page.show_on.wall.hangings]

    def close(self) -> None:
        """As the window does."""
        self.page.leave()
        self.studio.close()


def page_of(qtbot: QtBot, studio: Studio, world: World, parent: QWidget | None = None) -> Live:
    """A live page by itself, or as a part of ``parent``."""
    said: list[str] = []
    dialogs = Answers().dialogs()
    page = LivePage(
        studio, dialogs, lambda sentence, *offers, **options: said.append(sentence), parent, outside=world.outside()
    )
    if parent is None:
        qtbot.addWidget(page, before_close_func=lambda page: page.leave())
    page.resize(1366, 700)
    page.left.connect(page.leave)
    page.show()
    return Live(page, studio, world, said)


def studio_of(folder: Path, worker: Worker, *, look_only: bool = False) -> Studio:
    """Of the painting in this folder."""
    studio = Studio(Painting.open(folder, look_only=look_only), worker)
    studio.begin()
    return studio
