"""A small copy of a photo in which edges are looked for, and how plainly a straight edge stands in it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.distortion import bend, straighten
from core.photo import Photo

Array = NDArray[np.float32]
Points = NDArray[np.float64]

LONGEST_PX = 1000
OFFSETS = np.arange(-6.0, 6.5)
"""Across an edge, px of the small copy: where light is sampled to see a step."""
STEP_PX = 2.0
"""Along an edge: distance between samples."""
_OPPONENT = np.array([[0.3, 0.6, 0.1], [0.7, -0.7, 0.0], [0.35, 0.35, -0.7]], np.float32)
_SHORTEST_PX = 12.0
_GAINS, _MIDDLES = (255.0, 400.0, 400.0), (0.0, 128.0, 128.0)


@dataclass(frozen=True)
class EdgePicture:
    """``picture``: ``(h, w, 3)`` float32: lightness, red-green and yellow-blue, all on a scale close to the eye's.

    ``smooth``: the same, a little blurred. ``noise``: usual difference of neighbours. ``photo_px``: ``(2,)``, photo
    pixels to one of its own, x and y.
    """

    picture: Array
    smooth: Array
    noise: float
    photo_px: Points

    @property
    def width(self) -> int:
        return int(self.picture.shape[1])

    @property
    def height(self) -> int:
        return int(self.picture.shape[0])

    @property
    def centre(self) -> Points:
        return np.array([(self.width - 1) / 2, (self.height - 1) / 2])

    @property
    def half_diagonal(self) -> float:
        return float(np.hypot(self.width, self.height)) / 2

    def to_photo(self, points: Points) -> Points:
        return (points + 0.5) * self.photo_px - 0.5

    def bend(self, points: Points, k1: float) -> Points:
        """From straightened px about the centre to px of the picture."""
        return bend(points + self.centre, k1, self.width, self.height)

    def straighten(self, points: Points, k1: float) -> Points:
        """From px of the picture to straightened px about the centre."""
        return straighten(points, k1, self.width, self.height) - self.centre


def edge_picture(photo: Photo) -> EdgePicture:
    """The small copy of a photo, its longer side 1000 px."""
    light = photo.reduced(LONGEST_PX)
    picture = opponent(light)
    smooth = np.asarray(cv2.GaussianBlur(picture, (0, 0), 0.8), dtype=np.float32)
    noise = 0.5 * float(np.median(np.abs(picture[:, 2:, 0] - picture[:, :-2, 0])))
    scale = np.array([photo.width / picture.shape[1], photo.height / picture.shape[0]])
    return EdgePicture(picture, smooth, noise, scale)


def opponent(light: Array) -> Array:
    """Lightness, red-green and yellow-blue ``(h, w, 3)`` of linear light, on a scale close to the eye's."""
    root = np.power(np.maximum(light, 0.0), np.float32(1 / 2.4))
    return np.asarray(cv2.transform(root, _OPPONENT), dtype=np.float32)


def segments(edges: EdgePicture) -> Points:
    """Straight pieces of edge, ``(n, 4)`` px (x1, y1, x2, y2), in lightness and in both colours.

    Grompone von Gioi, Jakubowicz, Morel and Randall 2012, LSD: a line segment detector, Image Processing On Line 2,
    35-55. Its refinement breaks an edge that the lens bows into pieces that lie on it.
    """
    found = [np.empty((0, 4))]
    for channel, gain, middle in zip(cv2.split(edges.picture), _GAINS, _MIDDLES, strict=True):
        codes = np.clip(channel * gain + middle, 0, 255).astype(np.uint8)
        detector = cv2.createLineSegmentDetector(cv2.LSD_REFINE_STD, 0.8, 0.6, 1.0, 22.5, 0, 0.75)
        lines = detector.detect(codes)[0]
        if lines is not None:
            found.append(np.asarray(lines, dtype=np.float64).reshape(-1, 4))
    every = np.concatenate(found)
    return every[np.hypot(every[:, 2] - every[:, 0], every[:, 3] - every[:, 1]) > _SHORTEST_PX]


def support(edges: EdgePicture, starts: Points, along: Points, lengths: Points, k1: float) -> Array:
    """How plainly an edge runs along each of ``n`` straight lines, ``(n, t)`` 0-1, every ``STEP_PX``.

    ``starts, along``: ``(n, 2)`` straightened px about the centre and unit directions; ``lengths``: ``(n,)`` px, with t
    enough for the longest. Places outside the picture count 0. An edge is a step that is much the strongest within a
    few px across and keeps its direction for 9 px along.
    """
    places = np.arange(0.0, max(float(lengths.max()), STEP_PX), STEP_PX)
    across = np.stack([along[:, 1], -along[:, 0]], axis=1)
    line = starts[None] + places[:, None, None] * along  # (t, n, 2)
    grid = line[:, :, None] + OFFSETS[:, None] * across[None, :, None]
    points = edges.bend(grid, k1).astype(np.float32)  # (t, n, d, 2)
    shape = points.shape[:3]
    flat = points.reshape(shape[0], -1, 2)
    light = cv2.remap(
        edges.smooth, np.ascontiguousarray(flat[..., 0]), np.ascontiguousarray(flat[..., 1]), cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )  # fmt: skip
    run = cv2.blur(np.asarray(light).reshape(shape[0], -1), (1, 5)).reshape(*shape, 3)
    change = (run[:, :, 2:] - run[:, :, :-2]) / 2
    step = np.sqrt(np.einsum("tndc,tndc->tnd", change, change))
    middle = len(OFFSETS) // 2
    size = np.array([edges.width, edges.height])
    inside = ((points[:, :, middle] > 1) & (points[:, :, middle] < size - 2)).all(axis=-1)
    return np.asarray(np.where(inside, _plain(step, edges.noise), 0.0).T, dtype=np.float32)


def _plain(step: Array, noise: float) -> Array:
    middle = step.shape[2] // 2
    near = step[:, :, middle - 2 : middle + 3]
    # The flank of a stronger edge beside this line is no edge on it.
    ridge = (near >= step[:, :, middle - 3 : middle + 2]) & (near >= step[:, :, middle - 1 : middle + 4])
    peak = np.where(ridge, near, 0.0).max(axis=2)
    away = np.concatenate([step[:, :, : middle - 2], step[:, :, middle + 3 :]], axis=2)
    beside = np.partition(away, 2, axis=2)[:, :, 2]
    return np.asarray(np.clip((peak - 1.3 * beside - 2 * noise) / (0.35 * peak + 2 * noise + 0.002), 0, 1))
