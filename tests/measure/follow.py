"""How well the canvas is followed from frame to frame, on simulated sequences whose truth is known.

    python -m tests.measure.follow [tabs|edges|features] [width] [part of a sequence's name]

Corners off, mm: median, 95 in 100, worst; jitter: RMS of the corners about their own means while nothing moves, mm;
then the share of frames followed, held and without an answer, answers that are off by more than 1 mm and by more than
three times what they tell (followed, held), and the least and the usual ms of processor time a frame.
"""

import sys
import time
from collections.abc import Callable
from dataclasses import replace

import cv2
import numpy as np

from core.canvas.canvas_map import CanvasMap
from core.canvas.follow_edges import EdgeFollower
from core.canvas.follow_state import face_corners
from core.canvas.follow_tabs import TabFollower
from core.canvas.following import Followed, Follower
from core.canvas.tab_find import find_tabs
from core.canvas.tabs import set_up
from core.frames.frame import Frame
from core.size import Size
from tests.studio import moving as m
from tests.studio import tabbed as t

COUNT = 45
Path = list[m.Moment]


def paths(view: t.View, *, tabs: bool) -> dict[str, Path]:
    still = m.still(COUNT, view)
    drift = m.drifting(COUNT, view, seed=3)
    more = {
        "still": still,
        "drift": drift,
        "fast drift": m.drifting(COUNT, view, 4.0, seed=5),
        "knock": m.knocked(COUNT, 20, view),
        "hard knock": m.knocked(COUNT, 20, view, 3.0),
        "gain steps": m.exposed(still, (1.0, 0.6, 1.25, 0.35)),
        "gain steps, drift": m.exposed(drift, (1.0, 0.6, 1.25, 0.35)),
        "hand passing": m.hand_passing(still, 8, 38),
        "hand passing, drift": m.hand_passing(drift, 8, 38),
        "painter over a side": m.covered(still, [t.painter_over(330)], 12, 38),
        "painter, drift": m.covered(drift, [t.painter_over(330)], 12, 38),
        "painting": m.painted(still, 10),
        "painting, drift": m.painted(drift, 10),
        "all covered, knock": m.covered(m.knocked(COUNT, 20, view), [t.painter_over(-300)], 12, 28),
    }
    if tabs:
        for name, which in {"one": (0,), "two adjacent": (1, 2), "two opposite": (0, 2), "three": (0, 1, 2)}.items():
            more[f"{name} covered"] = m.covered(still, m.over_tabs(*which), 12, 38)
            more[f"{name} covered, drift"] = m.covered(drift, m.over_tabs(*which), 12, 38)
        more["two covered, knock"] = m.covered(m.knocked(COUNT, 25, view), m.over_tabs(1, 2), 12, 38)
    return more


class Features:
    """The other way: features matched with a key frame, and the homography of most of them, alone."""

    def __init__(self, size: Size, corners_px: np.ndarray, frame: Frame) -> None:
        self._orb = cv2.ORB.create(700)
        self._corners = corners_px
        self._key = self._orb.detectAndCompute(frame.photo().grey(), None)

    def follow(self, frame: Frame) -> Followed | None:
        points, words = self._orb.detectAndCompute(frame.photo().grey(), None)
        pairs = cv2.BFMatcher(cv2.NORM_HAMMING, crossCheck=True).match(self._key[1], words)
        here = np.array([self._key[0][pair.queryIdx].pt for pair in pairs])
        there = np.array([points[pair.trainIdx].pt for pair in pairs])
        matrix, inside = cv2.findHomography(here, there, cv2.USAC_MAGSAC, 1.5)
        if matrix is None or int(inside.sum()) < 15:
            return None
        corners = cv2.perspectiveTransform(self._corners.reshape(1, 4, 2), matrix)[0]
        return Followed(corners, 0.0, 1.0, "edges")

    def forget(self) -> None:
        pass


def row(name: str, path: Path, follower: Follower, sequence: list[tuple[Frame, np.ndarray]], size: Size) -> str:
    off, spent, by, placed = [], [], [], []
    false = [0, 0]
    for (frame, true), moment in zip(sequence, path, strict=True):
        start = time.thread_time()
        told = follower.follow(frame)
        spent.append(1000 * (time.thread_time() - start))
        by.append("none" if told is None else told.by)
        if told is None:
            continue
        canvas = CanvasMap(true, size, frame.width, frame.height, moment.view.k1)
        here = canvas.px_to_mm(told.corners_px) - face_corners(size)
        worst = np.linalg.norm(here, axis=1)
        off.append(worst)
        placed.append(here)
        rms = float(np.sqrt((worst**2).mean()))
        false[told.by == "held"] += rms > 1.0 and rms > 3 * told.uncertainty_mm
    if not off:
        return f"{name:26s} no answer"
    every = np.concatenate(off)
    quiet = len({id(moment.view) for moment in path}) == 1 and len(placed) > 5
    jitter = float(np.sqrt((np.var(np.array(placed[3:]), axis=0).sum(axis=1)).mean())) if quiet else np.nan
    shares = [np.mean([each in kinds for each in by]) for kinds in (("tabs", "edges"), ("held",), ("none",))]
    return (
        f"{name:26s} {np.median(every):7.3f} {np.quantile(every, 0.95):7.3f} {every.max():8.3f}  jitter {jitter:6.4f}  "
        + " ".join(f"{share:4.0%}" for share in shares)
        + f"  false {false[0]:2d} {false[1]:2d}  ms {min(spent):5.1f} {np.median(spent):5.1f} {max(spent):5.1f}"
    )


def measure(kind: str, width: int, only: str = "") -> None:
    scene = t.Scene(tabs=t.random_tabs(np.random.default_rng(3)))
    if kind != "tabs":
        scene = replace(scene, tabs=())
    view = replace(m.VIEW, width=width, height=width * 9 // 16)
    stage = m.Stage(scene, near=view)
    first, true = next(m.frames(stage, m.still(1, view), seed=99))
    start: dict[str, Callable[[], Follower]] = {
        "edges": lambda: EdgeFollower(scene.size, true, first),
        "features": lambda: Features(scene.size, true, first),
    }
    if kind == "tabs":
        elsewhere = replace(view, yaw_deg=-6.0, pitch_deg=-2.0, fill=0.57)
        other, its = next(m.frames(stage, m.still(1, elsewhere), seed=98))
        setup = set_up(find_tabs(other.photo()), its, scene.size)
        start["tabs"] = lambda: TabFollower(setup, 0.0)
    print(f"{kind}, {width} px: median, 95 %, worst mm; jitter mm; followed, held, none; false; ms least, usual, most")
    for name, path in paths(view, tabs=kind == "tabs").items():
        if only in name:
            print(row(name, path, start[kind](), list(m.frames(stage, path)), scene.size), flush=True)


if __name__ == "__main__":
    given = sys.argv[1:] + ["tabs", "1280", ""][len(sys.argv) - 1 :]
    measure(given[0], int(given[1]), given[2])
