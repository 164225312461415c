"""What the live page asks of cameras and of the core, as callables: each loads what it needs when it is used.

All of them may take seconds and belong into a thread of their own, but for ``by_tabs``, ``memory`` and ``picture``.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.live.settings import Kind, Wanted
from core.size import Size

if TYPE_CHECKING:
    from core.canvas.following import Follower
    from core.canvas.tabs import TabSetup
    from core.frames.cameras import CameraPlace
    from core.frames.frame import Frame, FrameSource
    from core.frames.keeping import LastFrames
    from core.live_picture import LivePicture

OPEN_S = 8.0
"""How long a source may take to open, and a frame to come."""
WANTED_PX = (1920, 1080)


@dataclass(frozen=True)
class Outside:
    """``cameras``: those of this machine. ``open``: a source as it was chosen. ``keep``: the best of the last frames,
    written into a file; what is said of it."""

    cameras: "Callable[[], tuple[CameraPlace, ...]]"
    open: "Callable[[Wanted], FrameSource]"
    by_tabs: "Callable[[TabSetup, float | None], Follower]"
    by_edges: "Callable[[Size, Any, Frame, float], Follower]"
    picture: "Callable[[Size], LivePicture]"
    memory: "Callable[[], LastFrames]"
    keep: "Callable[[LastFrames, Path], str]"


def real_outside() -> Outside:
    return Outside(_cameras, _open, _by_tabs, _by_edges, _picture, _memory, _keep)


def _cameras() -> "tuple[CameraPlace, ...]":
    from core.frames.cameras import cameras

    return tuple(cameras())


def _open(wanted: Wanted) -> "FrameSource":
    """Raises CameraError with a sentence."""
    from core.frames.cameras import CameraPlace
    from core.frames.opening import open_camera, open_film, open_stream

    if wanted.kind is Kind.FILM:
        return open_film(Path(wanted.place))
    if wanted.kind is Kind.STREAM:
        return open_stream(wanted.place, limit_s=OPEN_S)
    return open_camera(CameraPlace(wanted.index, wanted.name, wanted.place), size=WANTED_PX, limit_s=OPEN_S)


def _by_tabs(setup: "TabSetup", lens_k1: float | None) -> "Follower":
    from core.canvas.follow_tabs import TabFollower

    return TabFollower(setup, lens_k1)


def _by_edges(size: Size, corners_px: Any, frame: "Frame", lens_k1: float) -> "Follower":
    from core.canvas.follow_edges import EdgeFollower

    return EdgeFollower(size, corners_px, frame, lens_k1=lens_k1)


def _picture(size: Size) -> "LivePicture":
    from core.live_picture import LivePicture

    return LivePicture(size)


def _memory() -> "LastFrames":
    from core.frames.keeping import LastFrames

    return LastFrames()


def _keep(frames: "LastFrames", path: Path) -> str:
    from core.frames.keeping import write_kept

    kept = frames.keep()
    write_kept(kept, path)
    return kept.say
