"""The blur of the canvas photo itself, lens, focus and shake together, in mm on the canvas, found in the photo.

Nothing in a photo is sharper than its blur, so the sharpest of the paint's edges tells the most that it can be; and the
canvas's own sides, where they stand against what is behind them, are known to be sharp, so that they tell it outright.
Steps are fitted in linear light, in which a lens blurs. Across and down are told apart, since a shaken photo is blurred
one way. A painting that has only soft edges must not be taken for a soft photo: where no side can be read, nothing is
taken out, and what the blur may be widens the ± instead.

On 13 photos at 12 megapixels (``python -m tests.measure.photo_blur``): lenses and focus of 0.6 to 5 px, 0.08 to 0.59
mm, told to 0.05 mm by the sides; paintings blurred by 1 and 2 mm all over, whose sharpest steps are 0.3 to 1.6 mm, no
worse. A photo shaken by 10 px is told to be blurred 0.4 mm that way and 0.1 mm the other, of 0.36 and 0.10: a step
blurred evenly is best matched by a Gaussian somewhat wider than its variance. Shaken aslant both ways are told alike.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap
from core.canvas.flat import Flat
from core.edge.blurred_step import fitted_steps
from core.edge.kinds import EdgeBounds
from core.edge.points import edge_points, thinned
from core.edge.profiles import profiles_across, straight
from core.edge.scale import Floats, at_scale, without_blur
from core.photo import Photo
from core.tone import luminance_of_linear

_SIDE_PLACES, _ALONG_MM, _SIDE_ACROSS, _SAMPLES = 48, 2.5, 7, 41
_SIDE_HALF_MM, _SIDE_HALF_PX = 3.0, 14.0
_SIDE_STEP = 0.04
_SIDE_LEFT, _SIDE_LEFT_MOST = 0.05, 0.25
_SIDE_SHARE, _FEWEST_SIDE = 0.3, 6
"""Of the places along a side the sharpest so many are taken: shadow, tabs and the easel widen others."""
_INNER_SCALE_MM, _INNER_APART_MM, _INNER_MOST, _FEWEST_INNER = 0.4, 1.5, 700, 12
_INNER_HALF_MM, _INNER_ALONG_MM, _INNER_LEFT, _INNER_STEP = 2.0, 0.8, 0.06, 0.25
_INNER_SHARE = 0.1
_ONE_WAY = 0.8
_KNOWN_WITHIN = 0.15
_SIDES_AGREE, _TWINS_AGREE = 1.4, 1.25
_PIXEL = 0.5
_SHAKEN = 1.6


@dataclass(frozen=True)
class PhotoBlur:
    """Sigma, mm on the canvas. ``across_mm``, ``down_mm``: of the blur to the side and up and down, beside that of the
    flat picture's own pixels; ``known``: by the canvas's sides; else no more than the most that it can be."""

    across_mm: float
    down_mm: float
    known: bool

    def at(self, nx: Floats, ny: Floats) -> Floats:
        """Across edges of these directions."""
        return np.hypot(self.across_mm * nx, self.down_mm * ny)

    @property
    def largest_mm(self) -> float:
        return max(self.across_mm, self.down_mm)

    def taken_out(self, sigma_mm: Floats, nx: Floats, ny: Floats) -> tuple[Floats, Floats]:
        """Sigmas without the blur, as far as it is known, and the least they can be; infinite and NaN stay."""
        blur = self.at(nx, ny)
        finite = np.where(np.isfinite(sigma_mm), sigma_mm, 1.0)
        taken = without_blur(finite, blur) if self.known else finite
        least = without_blur(finite, blur * (1 + _KNOWN_WITHIN if self.known else 1.0))
        return tuple(np.where(np.isfinite(sigma_mm), each, sigma_mm) for each in (taken, least))  # type: ignore[return-value]

    def hides(self, sigma_mm: float, nx: Floats, ny: Floats) -> NDArray[np.bool_]:
        """Which edges, across these directions, the photo shows too soft to tell whether they are so narrow."""
        return np.asarray(self.known & (self.at(nx, ny) > sigma_mm))

    def notes(self, bounds: EdgeBounds) -> tuple[str, ...]:
        """What the painter should know, and do; nothing where the photo is sharp enough."""
        if self.largest_mm <= bounds.hard_mm:
            return ()
        if not self.known:
            return (
                f"No edge in the canvas photo is sharper than {self.largest_mm:.1f} mm, and the canvas’s own sides "
                "could not be read. Whether the photo or the paint is soft cannot be told, so edges are told with a "
                "wider ±. Photograph it with a plain, lighter or darker wall showing on every side.",
            )
        less = max(min(self.across_mm, self.down_mm), 1e-6)
        why = "was shaken" if self.largest_mm > _SHAKEN * less else "is out of focus"
        what = "hard from firm edges" if self.largest_mm <= bounds.firm_mm else "hard and firm from soft edges"
        return (
            f"The canvas photo {why}: it blurs every edge by {self.largest_mm:.1f} mm, too much to tell {what}. "
            "Photograph it again: stand the phone on something firm, tap on the canvas to focus, wait, and use the "
            "timer.",
        )


def photo_blur(photo: Photo, corners_px: Floats, k1: float, flat: Flat) -> PhotoBlur:
    """The blur of ``photo``, whose canvas lies at ``corners_px`` ``(4, 2)`` and is laid flat as ``flat``."""
    canvas = CanvasMap(np.asarray(corners_px), flat.size, photo.width, photo.height, k1)
    sides = [side_blur(photo, canvas, number) for number in range(4)]
    inner = inner_blur(flat)
    told = [
        _told(sides[one], sides[other], most)
        for one, other, most in ((1, 3, inner[0]), (0, 2, inner[1]))  # right and left; top and bottom
    ]
    (across, across_known), (down, down_known) = told
    if across_known != down_known:  # no more is taken out one way than is known the other: the paint may be soft
        across, down = (across, min(across, down)) if across_known else (min(across, down), down)
    blur = [each if np.isfinite(each) else 0.0 for each in (across, down)]
    return PhotoBlur(blur[0], blur[1], known=across_known or down_known)


def _told(one: float, other: float, paint: float) -> tuple[float, bool]:
    """The blur by two opposite sides and by the sharpest of the paint's edges, and whether it is known.

    Two sides that agree are surer than the paint, whose sharpest steps may be brush marks. One that is much softer than
    the paint is a shadow's or a rounded one's, and tells nothing.
    """
    side = min(one, other)
    agree = np.isfinite(side) and max(one, other) < _TWINS_AGREE * side
    known = bool(np.isfinite(side) and (agree or side <= _SIDES_AGREE * paint))
    return (side if known else paint), known


def side_blur(photo: Photo, canvas: CanvasMap, side: int) -> float:
    """Sigma in mm across one side, 0-3 from the top clockwise; infinite where it cannot be read."""
    size = canvas.size
    w, h = size.width_mm, size.height_mm
    ends = np.array([[0, 0], [w, 0], [w, h], [0, h], [0, 0]], dtype=np.float64)
    way = (ends[side + 1] - ends[side]) / np.linalg.norm(ends[side + 1] - ends[side])
    out = np.array([way[1], -way[0]])
    middle = ends[side] + np.linspace(0.06, 0.94, _SIDE_PLACES)[:, None] * (ends[side + 1] - ends[side])
    density = float(canvas.scales((ends[side] + ends[side + 1])[None] / 2).mean())
    half = max(_SIDE_HALF_MM, _SIDE_HALF_PX / density)
    t = np.linspace(-half, half, _SAMPLES)[None, :, None, None] * out
    u = np.linspace(-_ALONG_MM, _ALONG_MM, _SIDE_ACROSS)[None, None, :, None] * way
    at = np.rint(canvas.mm_to_px(middle[:, None, None] + t + u)).astype(np.intp)
    inside = ((at >= 0) & (at < (photo.width, photo.height))).all(axis=(1, 2, 3))
    at = at[inside]
    if len(at) < _FEWEST_SIDE:
        return np.inf
    codes = photo.codes[at[..., 1], at[..., 0]]
    linear = photo.curve[codes].reshape(len(at), -1, 3)
    light = luminance_of_linear(linear).reshape(at.shape[:3]).mean(axis=2)
    steps = fitted_steps(light, np.full(len(light), max(1.5 / (density * half), 0.05)))
    height = np.abs(steps.height)
    good = (height > _SIDE_STEP) & (steps.rms < _SIDE_LEFT * height) & (np.abs(steps.at) < _SIDE_LEFT_MOST)
    if good.sum() < _FEWEST_SIDE:
        return np.inf
    sigma = float(np.quantile(steps.sigma[good], _SIDE_SHARE)) * half
    return float(np.sqrt(max(sigma**2 - 1 / 12 / density**2, (0.3 * sigma) ** 2)))  # pixels were read whole


def inner_blur(flat: Flat) -> tuple[float, float]:
    """The sharpest of the paint's edges, sigma in mm across and down; infinite where there are too few."""
    light = luminance_of_linear(flat.linear)
    scaled = at_scale(light, flat.px_per_mm, _INNER_SCALE_MM)
    steep = np.hypot(cv2.Sobel(scaled.value, cv2.CV_32F, 1, 0), cv2.Sobel(scaled.value, cv2.CV_32F, 0, 1))
    least = float(np.quantile(steep[::4, ::4], 0.9)) / 8 * scaled.px_per_mm
    points = thinned(edge_points(scaled, least), _INNER_APART_MM)
    points = points.only(np.argsort(-points.steepness, kind="stable")[:_INNER_MOST])
    count = len(points)
    sides = (np.full(count, each) for each in (_INNER_HALF_MM, _INNER_ALONG_MM))
    ground = at_scale(light, flat.px_per_mm, 0.0)
    profiles = profiles_across(ground, points, *sides, samples=33, patch=5, bend=straight(count))
    steps = fitted_steps(profiles, np.full(count, 0.2))
    height = np.abs(steps.height)
    good = (steps.rms < _INNER_LEFT * height) & (height > _INNER_STEP * profiles.mean(axis=1))
    good &= np.abs(steps.at) < 0.3
    sigma = without_blur(steps.sigma * _INNER_HALF_MM, _PIXEL / flat.px_per_mm)
    return _sharpest(sigma[good & (np.abs(points.nx) > _ONE_WAY)]), _sharpest(
        sigma[good & (np.abs(points.ny) > _ONE_WAY)]
    )


def _sharpest(sigma: Floats) -> float:
    return float(np.quantile(sigma, _INNER_SHARE)) if len(sigma) >= _FEWEST_INNER else float("inf")
