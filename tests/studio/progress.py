"""A painting in progress that is known exactly: stage after stage, each photographed from its own place and light."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.size import Size
from tests.studio import references
from tests.studio.camera import Camera, Shot, stand_before
from tests.studio.displacement import Displacement
from tests.studio.lamps import KINDS, photograph_lit
from tests.studio.painter import Painted, paint, texture

Corners = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Stage:
    """One state of the painting; ``touched``: ``(H, W)`` bool, what was painted since the stage before."""

    painted: Painted
    touched: NDArray[np.bool_]


@dataclass(frozen=True)
class Taken:
    """``shot``: the photo; ``true``: where the canvas's corners are in it; ``given``: where they were placed."""

    shot: Shot
    true: Corners
    given: Corners


def stages(
    seed: int, size: Size, count: int = 5, *, px_per_mm: float = 4.0, moved_mm: float = 3.0, name: str = ""
) -> tuple[Stage, ...]:
    """From the toned ground to the finished painting: at each stage passages are covered or worked over again, one of
    them with its form moved; brush marks of what is left alone stay as they were, and the weave shows through all."""
    rng = np.random.default_rng(seed)
    picture = references.linear(references.pixels(name or references.NAMES[seed % 4], size, width=1200))
    finished = paint(picture, Displacement(size), brushwork="texture", px_per_mm=px_per_mm, seed=seed)
    shape = finished.linear.shape[:2]
    weave = texture(shape, px_per_mm, rng, strength=0.02)
    ground = np.float32([0.42, 0.33, 0.25]) * weave
    state, made = ground.astype(np.float32), list[Stage]()
    made.append(Stage(Painted(state, state, px_per_mm, size), np.zeros(shape, bool)))
    for number in range(1, count):
        bump = (*rng.uniform(0.2, 0.8, 2) * (size.width_mm, size.height_mm), moved_mm, -moved_mm, 30.0)
        drift = Displacement(size, bumps=(tuple(map(float, bump)),)) if number < count - 1 else Displacement(size)
        layer = paint(picture, drift, brushwork="texture", px_per_mm=px_per_mm, seed=1000 * seed + number)
        faded = layer.linear * np.float32(rng.uniform(0.8, 1.1))
        where = passage(rng, size, px_per_mm, share=float(rng.uniform(0.2, 0.45)))
        state = (state + where[..., None] * (faded - state)).astype(np.float32)
        state = np.clip(state, 0.002, 0.95)
        made.append(Stage(Painted(state, state, px_per_mm, size), where > 0.02))
    return tuple(made)


def passage(rng: np.random.Generator, size: Size, px_per_mm: float, share: float) -> NDArray[np.float32]:
    """``(H, W)`` 0-1: ragged passages over about ``share`` of the canvas, their edges 1 mm soft."""
    shape = (round(size.height_mm * px_per_mm), round(size.width_mm * px_per_mm))
    rough = cv2.resize(rng.normal(size=(5, 7)).astype(np.float32), shape[::-1], interpolation=cv2.INTER_CUBIC)
    inside = (rough > np.quantile(rough, 1 - share)).astype(np.float32)
    return np.asarray(cv2.GaussianBlur(inside, (0, 0), px_per_mm))


def taken(stage: Stage, seed: int, *, width: int = 2000, out_px: float = 1.5, kind: str = "") -> Taken:
    """A photo by hand from a place and in a light of its own; each corner given ``out_px`` or so out."""
    rng = np.random.default_rng(seed)
    height, size = width * 3 // 4, stage.painted.size
    corners = stand_before(rng, size.aspect, width=width, height=height)
    glare = tuple((float(x), float(y), 5.0) for x, y in rng.uniform(0.1, 0.9, (1, 2)) * (size.width_mm, size.height_mm))
    camera = Camera(
        corners, width=width, height=height, exposure=float(rng.uniform(0.55, 0.85)), glare=glare, seed=seed,
        white_balance=tuple(rng.uniform(0.9, 1.0, 3)), vignetting=0.15,
    )  # fmt: skip
    shot = photograph_lit(stage.painted, camera, kind or str(rng.choice(KINDS)), seed)
    given = np.asarray(corners) + rng.normal(0, out_px, (4, 2))
    return Taken(shot, corners, tuple(map(tuple, given.tolist())))
