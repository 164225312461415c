"""The swatch card found in a photo by its corner marks, and laid flat.

The corners of the four marks are found to a part of a pixel and give the homography, within 0.1 mm over the whole card;
a wide lens or a bent sheet shows in what is left of it. The marks say which way up the card lies.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.errors import PaintError
from core.paint import swatch_card as card
from core.photo import Photo
from core.tone import display_of_linear, luminance_of_linear

Floats = NDArray[np.float64]
Linear = NDArray[np.float32]

MOST_PX = 3200
LOOKED_AT_PX = (1600, 800, MOST_PX)
"""Longer sides at which the marks are looked for, in this order: the first serves most photos, the second noisy and
blurred ones, the third a card that is small in a large one."""
LEAST_PX_PER_MM = 2.0
FLAT_PX_PER_MM = 5.0
AROUND_MM = 3.0
"""What is laid flat beyond the block on every side."""
_MOST_BENT_MM = 0.6
_REFINED_WITHIN_PX = 5


@dataclass(frozen=True, eq=False)
class FoundCard:
    """``matrix``: ``(3, 3)`` takes mm of the block to px of the picture. ``px_per_mm``: the least over the block.
    ``bent_mm``: root mean square of the marks' corners off their places, mm."""

    matrix: Floats
    px_per_mm: float
    bent_mm: float

    def px(self, places_mm: Floats) -> Floats:
        """Pixels ``(..., 2)`` of places ``(..., 2)`` mm."""
        lifted = np.asarray(places_mm, dtype=np.float64) @ self.matrix[:, :2].T + self.matrix[:, 2]
        return np.asarray(lifted[..., :2] / lifted[..., 2:])


@dataclass(frozen=True, eq=False)
class FlatCard:
    """The block laid flat: ``linear`` ``(H, W, 3)`` float32, with ``AROUND_MM`` about it, ``px_per_mm`` to the mm."""

    linear: Linear
    px_per_mm: float

    def part(self, rect: card.Rect) -> Linear:
        """The pixels ``(h, w, 3)`` that lie in a rectangle of the block; none where it is too small."""
        left, top = ((each + AROUND_MM) * self.px_per_mm for each in (rect.left, rect.top))
        right, low = left + rect.width * self.px_per_mm, top + rect.height * self.px_per_mm
        return self.linear[round(top) : round(low), round(left) : round(right)]


def find_card(linear: Linear) -> FoundCard:
    """The card in a picture ``(H, W, 3)`` of linear light, any way up. Raises PaintError where it is not whole."""
    seen: dict[int, Floats] = {}
    longest = max(linear.shape[:2])
    for wanted in LOOKED_AT_PX:
        scale = min(1.0, wanted / longest)
        more = _marks(linear, scale)
        seen = {**more, **seen}
        if len(seen) == len(card.MARK_IDS):
            break
    missing = [name for name, key in zip(card.CORNERS, card.MARK_IDS, strict=True) if key not in seen]
    if missing:
        raise PaintError(_missing(missing))
    corners = np.stack([seen[key] for key in card.MARK_IDS])
    return _found(corners)


def flatten(linear: Linear, found: FoundCard) -> FlatCard:
    """The block of the card laid flat; each pixel is the mean of what it covers."""
    finer = max(1, int(np.ceil(found.px_per_mm / FLAT_PX_PER_MM)))
    scale = FLAT_PX_PER_MM * finer
    wide, high = (round((side + 2 * AROUND_MM) * FLAT_PX_PER_MM) * finer for side in (card.WIDTH_MM, card.HEIGHT_MM))
    # From the middles of the flat pixels to mm, and on to px.
    to_mm = np.array([[1 / scale, 0, 0.5 / scale - AROUND_MM], [0, 1 / scale, 0.5 / scale - AROUND_MM], [0, 0, 1]])
    flat = cv2.warpPerspective(
        np.ascontiguousarray(linear, dtype=np.float32),
        found.matrix @ to_mm,
        (wide, high),
        flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    small = cv2.resize(flat, (wide // finer, high // finer), interpolation=cv2.INTER_AREA)
    return FlatCard(np.asarray(small, dtype=np.float32), FLAT_PX_PER_MM)


def photo_linear(photo: Photo) -> Linear:
    """The photo's linear light, reduced to what the card needs at most."""
    return photo.reduced(MOST_PX)


def _marks(linear: Linear, scale: float) -> dict[int, Floats]:
    """Corners ``(4, 2)`` px of each of the card's marks that is seen. PaintError where one is seen twice."""
    size = tuple(max(1, round(side * scale)) for side in linear.shape[1::-1])
    small = linear if scale == 1.0 else cv2.resize(linear, size, interpolation=cv2.INTER_AREA)
    light = luminance_of_linear(np.asarray(small, dtype=np.float32))
    bright = max(float(np.quantile(light[::4, ::4], 0.98)), 1e-6)
    grey = display_of_linear(np.repeat(light[..., None] / np.float32(bright), 3, axis=2))[..., 0]
    corners, ids, _ = _detector().detectMarkers(np.ascontiguousarray(grey))
    if ids is None:
        return {}
    told: dict[int, Floats] = {}
    stretch = np.array(linear.shape[1::-1]) / np.array(size)
    for key, four in zip(np.asarray(ids).reshape(-1).tolist(), corners, strict=True):
        if key in card.MARK_IDS:
            if key in told:
                raise PaintError("More than one swatch card is in the photo. Photograph one card at a time.")
            told[key] = (np.asarray(four, dtype=np.float64).reshape(4, 2) + 0.5) * stretch - 0.5
    return told


def _detector() -> "cv2.aruco.ArucoDetector":
    parameters = cv2.aruco.DetectorParameters()
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    parameters.cornerRefinementWinSize = _REFINED_WITHIN_PX
    # Only the middle of each module is read: twice the blur is borne.
    parameters.perspectiveRemovePixelPerCell, parameters.perspectiveRemoveIgnoredMarginPerCell = 8, 0.3
    return cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50), parameters)


def _found(corners: Floats) -> FoundCard:
    places = card.mark_corners().reshape(-1, 2)
    seen = corners.reshape(-1, 2)
    matrix, _ = cv2.findHomography(places.reshape(-1, 1, 2), seen.reshape(-1, 1, 2), 0)
    if matrix is None:
        raise PaintError("The corner marks do not lie as on the card. Photograph one whole card, printed as it came.")
    held = FoundCard(np.asarray(matrix, dtype=np.float64), 0.0, 0.0)
    x, y = np.meshgrid(np.linspace(0, card.WIDTH_MM, 5), np.linspace(0, card.HEIGHT_MM, 5))
    grid = np.stack([x.ravel(), y.ravel()], axis=1)
    columns = [(held.px(grid + d) - held.px(grid - d)) / 0.02 for d in np.eye(2) * 0.01]
    scales = np.linalg.svd(np.stack(columns, axis=-1), compute_uv=False)
    least = float(scales.min())
    if least < LEAST_PX_PER_MM:
        raise PaintError(
            f"The card is too small in the photo: {least:.1f} pixels to the mm of {LEAST_PX_PER_MM:.0f} that are "
            "needed. Go closer, until the corner marks are near the edges of the picture."
        )
    bent = _bent_mm(held.matrix, places, seen)
    if bent > _MOST_BENT_MM:
        raise PaintError(
            "The card is bent in the photo. Lay it flat on something firm, and photograph it from further away, since "
            "a wide lens bends it too."
        )
    return FoundCard(held.matrix, least, bent)


def _bent_mm(matrix: Floats, places: Floats, seen: Floats) -> float:
    """How far the marks' corners lie off their places, mm, but for what blur does, which draws all of them inwards."""
    to_mm = FoundCard(np.asarray(np.linalg.inv(matrix), dtype=np.float64), 0.0, 0.0)
    off = to_mm.px(seen) - places
    outward = (places.reshape(-1, 4, 2) - places.reshape(-1, 4, 2).mean(axis=1, keepdims=True)).reshape(-1, 2)
    outward /= np.linalg.norm(outward, axis=1, keepdims=True)
    drawn = float((off * outward).sum(axis=1).mean())
    return float(np.sqrt(np.mean(np.sum((off - drawn * outward) ** 2, axis=1))))


def _missing(names: list[str]) -> str:
    if len(names) == len(card.CORNERS):
        return (
            "No swatch card is to be seen in the photo. Photograph the printed card with its four corner marks whole, "
            "sharp and well lit."
        )
    which = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    marks, are = ("mark", "is") if len(names) == 1 else ("marks", "are")
    return (
        f"The {which} corner {marks} of the card {are} not to be seen whole. Photograph the card with all four corner "
        "marks in the picture, large and sharp, with nothing over them and no shine on them."
    )
