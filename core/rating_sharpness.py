"""How sharp a photo is as it was shot: sharp, a little soft, out of focus (blurred all ways) or shaken (one way).

Nothing is sharper than the photo's blur, so the sharpest edges of every direction tell it, wherever in the photo they
are: the canvas's sides, the easel, the wall's things, brush marks. A painting that has only soft edges is thereby not
taken for a blurred photo. Across an edge at the angle t a photo blurred by s1 along the angle a and by s2 across it
shows s² = s1² cos²(t - a) + s2² sin²(t - a), which is fitted to the directions; a camera moved evenly over a length L
blurs by L / sqrt(12) that way. Where only the sides are sharp, as of a very soft painting, a shake aslant shows alike
on both, and is told as out of focus.

Two ways to tell the width of an edge were measured on the same edges (``python -m tests.measure.rating``): a blurred
step fitted to it, and how much its steepest place loses by more blur (Zhuo and Sim, Pattern Recognition 44(9), 2011,
1852-1858). Simulated easels at 12 megapixels, the lens blurred by 0.8, 2.5 and 6 px: the fit told 0.8-1.1, 2.7 and 5.8,
the other 1.1-1.3, 2.7 and 5.6. scikit-image's photographs, of 0.2 to 2 megapixels, blurred by 1.5 and 3 px: 1.4-1.7 and
2.3-3.2 by the fit, 1.0-1.7 and 2.2-2.6 by the other; shaken by 8 to 12 px: the direction to 13 and to 11 degrees, the
width across the shake 0.4-1.3 by the fit, where the other often lost it. The fit is used. The length of a shake is told
to a tenth where pixels are many and it is some of them long, and down to half of it otherwise. A painting blurred by 2
and 4 mm all over, photographed sharply, is told sharp (0.8 px). A soft painting that fills the whole frame, none of its
sides in sight and no brush mark sharp, cannot be told from a soft photo before its corners are known.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap
from core.edge.blurred_step import fitted_steps
from core.edge.kinds import EdgeBounds
from core.edge.photo_blur import side_blur
from core.photo import Photo
from core.rating_edges import USUAL_PX, Profiles, read_across
from core.size import Size

Floats = NDArray[np.float64]
Kind = Literal["sharp", "soft", "out of focus", "shaken"]

SHARP_PX, SOFT_PX = 2.0, 3.7
"""The widest sigma of a sharp and of a little soft photo, px of a photo of USUAL_PX, before the corners are known.
Ours: a canvas of 400 mm that fills three quarters of it is seen at 7.5 px a mm, and edges are hard below 0.5 mm."""
_SMALLEST_SCALE = 0.6
SHARP_OF_HARD = 0.55
"""With corners: a photo whose blur is below so much of the width of a hard edge is sharp, up to it a little soft."""
SHAKEN_RATIO = 1.45
_BINS, _FEWEST_IN_BIN, _FEWEST_BINS, _FEWEST = 8, 4, 7, 24
_SHARPEST = 0.15
"""Of the edges of one direction, the sharpest so many are taken for as sharp as the photo allows."""
_BEGIN, _LEAST_STEP, _LEFT, _OFF, _WIDEST = 0.12, 0.03, 0.06, 0.35, 0.45
_PIXEL = 1 / 12
_LEAST_PX = 0.3


@dataclass(frozen=True)
class Sharpness:
    """``blur_px``, ``least_px``: sigma in photo px along the most and the least blurred direction; ``blur_mm`` the
    former on the canvas, None before its corners are known. ``angle_deg``: of the former, 0 to the right, 90 down,
    below 180. ``shake_px``: the length of the camera's movement, 0 where it was none."""

    kind: Kind
    blur_px: float
    least_px: float
    blur_mm: float | None = None
    angle_deg: float = 0.0
    shake_px: float = 0.0


def sharpness(
    photo: Photo, corners_px: Floats | None = None, size: Size | None = None, *, k1: float = 0.0
) -> Sharpness | None:
    """How sharp ``photo`` is, or None where that cannot be told: too few edges, or of a soft painting alone.

    ``corners_px`` ``(4, 2)``, ``size``, ``k1``: of the canvas where they are known; then it is told of the canvas.
    """
    profiles = read_across(photo, corners_px)
    sigma, good = widths(profiles)
    blur = blur_of(sigma[good], profiles.angle[good])
    scale = max(max(photo.width, photo.height) / USUAL_PX, _SMALLEST_SCALE)
    if corners_px is None or size is None:
        return None if blur is None else _told(blur, SHARP_PX * scale, SOFT_PX * scale, None)
    canvas = CanvasMap(np.asarray(corners_px, dtype=np.float64), size, photo.width, photo.height, k1)
    density = float(canvas.scales([(size.width_mm / 2, size.height_mm / 2)]).mean())
    hard = EdgeBounds.for_size(size).hard_mm * density
    sides = [side_blur(photo, canvas, number) * density for number in range(4)]
    by_sides = max(min(sides[1], sides[3]), min(sides[0], sides[2]))
    sharp, soft = max(SHARP_OF_HARD * hard, 1.0), max(hard, 1.8)
    if by_sides <= sharp and (blur is None or blur[0] > sharp):  # the paint is soft, not the photo
        return Sharpness("sharp", by_sides, by_sides, by_sides / density)
    if blur is None or (blur[0] > sharp and not np.isfinite(sides).any()):
        return None
    return _told(blur, sharp, soft, density)


def widths(profiles: Profiles) -> tuple[Floats, NDArray[np.bool_]]:
    """Sigma of every edge, photo px, the pixel's own width taken out; and which are plain single steps."""
    if not len(profiles.light):
        return np.zeros(0), np.zeros(0, bool)
    steps = fitted_steps(profiles.light, np.full(len(profiles.light), _BEGIN))
    height = np.abs(steps.height)
    good = (height > _LEAST_STEP) & (steps.rms < _LEFT * height) & (np.abs(steps.at) < _OFF) & (steps.sigma < _WIDEST)
    return np.sqrt(np.maximum((steps.sigma * profiles.half_px) ** 2 - _PIXEL, _LEAST_PX**2)), good


def blur_of(sigma: Floats, angle: Floats) -> tuple[float, float, float] | None:
    """Sigma along the most blurred direction and along the least, px, and the former's angle, radians; None where
    there are edges of too few directions."""
    way = np.rint(angle / (np.pi / _BINS)).astype(np.intp) % _BINS
    groups = [(number * np.pi / _BINS, sigma[way == number]) for number in range(_BINS)]
    told = [(at, float(np.quantile(each, _SHARPEST)) ** 2) for at, each in groups if len(each) >= _FEWEST_IN_BIN]
    if len(told) < _FEWEST_BINS or len(sigma) < _FEWEST:
        return None
    at, squares = np.array(told).T
    terms = np.stack([np.ones_like(at), np.cos(2 * at), np.sin(2 * at)], axis=1) / squares[:, None]
    mean, cosine, sine = np.linalg.lstsq(terms, np.ones_like(at), rcond=None)[0]
    swing = float(np.hypot(cosine, sine))
    most, least = (math.sqrt(max(float(mean) + each, _LEAST_PX**2)) for each in (swing, -swing))
    return most, least, float(np.arctan2(sine, cosine) / 2 % np.pi)


def _told(blur: tuple[float, float, float], sharp: float, soft: float, density: float | None) -> Sharpness:
    """``sharp``, ``soft``: the widest of each, px; ``density``: px a mm."""
    most, least, angle = blur
    shaken = most > SHAKEN_RATIO * least
    length = math.sqrt(12 * (most**2 - least**2)) if shaken else 0.0
    kind: Kind = "shaken" if shaken else "out of focus"
    if most <= soft:
        kind, length = ("sharp" if most <= sharp else "soft"), (length if most > sharp else 0.0)
    millimetres = None if density is None else most / density
    return Sharpness(kind, most, least, millimetres, math.degrees(angle), length)
