"""A 24-patch colour chart found in a photo: the light on it, and a check of the camera's tone curve.

The level and the white balance come from the six neutrals; the strength of the light is fitted to all 24 patches as a
plane and a bend of the tone curve, which the neutrals alone, all in one row, could not tell apart.

The detector's own places are out by up to half a gap; they are refined on the even areas of the patches. Found in 32 of
32 photos of 12 megapixels, where the chart took up 16 % of the width; in four it ran out of the photo by up to 26
pixels, and this was said.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap, project
from core.canvas.locate import CanvasFix
from core.colorimetry import LUMINANCE, delta_e_2000, lab
from core.errors import ValuesError
from core.photo import Photo
from core.size import Size
from core.tone import display_of_linear
from core.value.even_patch import calm_mean, even_patch
from core.value.light import LightCorrection
from core.value.light_anchor import LightAnchor
from core.value.light_card import check_in_light
from core.value.light_grid import FULL, Floats, value_per_log

REFLECTANCE = np.array(
    [
        [0.17371, 0.07878, 0.05285],
        [0.55986, 0.27739, 0.21087],
        [0.10423, 0.18891, 0.32891],
        [0.10576, 0.15074, 0.05083],
        [0.22748, 0.21239, 0.42642],
        [0.11532, 0.50743, 0.41110],
        [0.74599, 0.20207, 0.02985],
        [0.05877, 0.10118, 0.38773],
        [0.56020, 0.08009, 0.11457],
        [0.10919, 0.04199, 0.13813],
        [0.33279, 0.49735, 0.04258],
        [0.77113, 0.35784, 0.02043],
        [0.02097, 0.04753, 0.28412],
        [0.04607, 0.29204, 0.06147],
        [0.44622, 0.03636, 0.04054],
        [0.84178, 0.57432, 0.00463],
        [0.52241, 0.07776, 0.28929],
        [-0.04391, 0.23367, 0.37717],
        [0.87966, 0.88494, 0.83418],
        [0.58459, 0.59211, 0.58443],
        [0.35775, 0.36704, 0.36524],
        [0.19012, 0.19085, 0.18980],
        [0.08594, 0.08873, 0.08980],
        [0.03136, 0.03149, 0.03232],
    ]
)
"""Linear sRGB primaries, D65, of 'ColorChecker24 - After November 2014' as colour-science 0.4.7 has it (ICC D50, CIE
1931 2 degree observer), adapted by its Bradford transform; row by row from dark skin to black. Cyan lies outside the
sRGB gamut."""
NEUTRALS = np.arange(18, 24)

_LOOKED_AT_PX = (1600, 2600)
_CHART_LOG = 0.015
"""Standard uncertainty of a chart's patches against the published ones: common practice, no source."""
_DARKEST = 2e-3
_NEUTRALS_STRAY, _COLOURS_STRAY, _SLOPE_MOST = 0.12, 0.25, 0.45
"""Natural logarithms by which patches may stray from one even light over the chart, and the fall-off across it."""
_TONE_TOLD = 0.15
_ROWS, _COLUMNS = 4, 6
_PATCH_HALF = 0.43
"""Half a patch's side over the distance between patches."""
_CUT_OFF = (
    "The colour chart runs out of the photo. Photograph it whole, with a little of its surround, beside the canvas."
)


@dataclass(frozen=True)
class Chart:
    """A colour chart in a photo.

    ``outline_px``: ``(4, 2)`` photo px round the patches, TL TR BR BL as the chart is held; ``patches_px``: ``(24, 2)``
    their middles. ``measured``: ``(24, 3)`` linear light. ``log_light``: ``(3,)`` natural logarithm of the light at
    the chart's middle, at middle grey; ``sigma`` of it. ``neutral_steps``: ``(6,)`` Munsell steps by which the neutrals
    then stray, white to black: the camera's tone curve. ``colour_difference``: mean CIEDE2000 of the 18 colours once
    the light is out. ``problem``: a sentence why the chart cannot be used, or empty. ``notes``: other sentences.
    """

    outline_px: Floats
    patches_px: Floats
    measured: Floats
    log_light: Floats
    sigma: float
    neutral_steps: Floats
    colour_difference: float
    problem: str = ""
    notes: tuple[str, ...] = ()


def find_chart(photo: Photo) -> Chart | None:
    """The 24-patch colour chart in ``photo``, or None when there is none to be seen."""
    for longest in _LOOKED_AT_PX:
        small = display_of_linear(photo.reduced(longest))
        detector = cv2.mcc.CCheckerDetector.create()
        detector.setColorChartType(cv2.mcc.MCC24)
        if detector.process(np.ascontiguousarray(small[..., ::-1]), 1):
            corners = np.asarray(detector.getBestColorChecker().getColorCharts(), dtype=np.float64).reshape(24, 4, 2)
            scale = np.array([photo.width / small.shape[1], photo.height / small.shape[0]])
            centres = (corners.mean(axis=1) + 0.5) * scale - 0.5
            return _read(photo, centres)
        if longest >= max(photo.width, photo.height):
            break
    return None


def chart_anchor(
    chart: Chart, photo: Photo, fix: CanvasFix, size: Size, *, light: LightCorrection | None = None
) -> LightAnchor:
    """The light that the chart shows, for :func:`core.value.light.correct_light`.

    ``light``: the light found on the canvas without it; with it a chart that lies in shadow as a whole is noticed.
    ValuesError with a sentence when the chart cannot be used.
    """
    if chart.problem:
        raise ValuesError(chart.problem)
    to_mm = CanvasMap(fix.corners_px, size, photo.width, photo.height, fix.k1)
    x_mm, y_mm = to_mm.px_to_mm(chart.patches_px.mean(axis=0))
    outline = to_mm.px_to_mm(chart.outline_px)
    anchor = LightAnchor(
        "chart",
        float(x_mm),
        float(y_mm),
        chart.log_light,
        chart.sigma,
        _CHART_LOG,
        outline,
        chart.outline_px,
        chart.notes,
    )
    check_in_light(anchor, size, light)
    return anchor


def _read(photo: Photo, centres: Floats) -> Chart:
    grid = np.stack([np.tile(np.arange(_COLUMNS), _ROWS), np.repeat(np.arange(_ROWS), _COLUMNS)], axis=1).astype(float)
    to_px = _refined(photo, grid, _homography(grid, centres))
    rim = np.array([[-0.6, -0.6], [_COLUMNS - 0.4, -0.6], [_COLUMNS - 0.4, _ROWS - 0.4], [-0.6, _ROWS - 0.4]])
    outline, middles = project(to_px, rim), project(to_px, grid)
    patches = project(to_px, rim + np.sign(rim - 1) * (_PATCH_HALF - 0.6))
    if (patches < -0.5).any() or (patches > np.array([photo.width, photo.height]) - 0.5).any():
        nothing = np.full((24, 3), np.nan)
        return Chart(outline, middles, nothing, np.full(3, np.nan), np.inf, np.full(6, np.nan), np.nan, _CUT_OFF)
    measured, burnt = _patches(photo, grid, to_px)
    return _judged(outline, middles, grid, measured, burnt)


def _homography(grid: Floats, places: Floats) -> Floats:
    matrix, _ = cv2.findHomography(grid.reshape(-1, 1, 2), places.reshape(-1, 1, 2), 0)
    return np.asarray(matrix, dtype=np.float64)


def _refined(photo: Photo, grid: Floats, to_px: Floats) -> Floats:
    """The chart's place from the even areas of its own patches: the detector is out by up to half a gap."""
    for _ in range(2):
        middles = project(to_px, grid)
        across, down = (project(to_px, grid + d) - project(to_px, grid - d) for d in np.eye(2) / 2)
        pitch = np.sqrt(np.abs(across[:, 0] * down[:, 1] - across[:, 1] * down[:, 0]))
        found, places = [], []
        for number, (x, y) in enumerate(middles):
            if not (0 <= x < photo.width - 1 and 0 <= y < photo.height - 1):
                continue
            patch = even_patch(photo, x, y, tolerance=0.12, within_px=0.8 * float(pitch[number]))
            middle = (patch.outline_px.min(axis=0) + patch.outline_px.max(axis=0)) / 2
            spread = np.ptp(patch.outline_px, axis=0).max() / pitch[number]
            if patch.bounded and 0.5 < spread < 1.3:
                found.append(number)
                places.append(middle)
        if len(found) < 10:
            return to_px
        matrix, kept = cv2.findHomography(
            grid[found].reshape(-1, 1, 2), np.array(places).reshape(-1, 1, 2), cv2.RANSAC, 0.08 * float(pitch.mean())
        )
        if matrix is None or np.asarray(kept).sum() < 10:
            return to_px
        to_px = np.asarray(matrix, dtype=np.float64)
    return to_px


def _patches(photo: Photo, grid: Floats, to_px: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Mean linear light ``(24, 3)`` of the middle of every patch, and ``(24,)`` which are burnt out."""
    measured, burnt = np.zeros((24, 3)), np.zeros(24, bool)
    square = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * 0.6 * _PATCH_HALF
    for number, middle in enumerate(grid):
        corners = project(to_px, middle + square)
        low = np.maximum(np.floor(corners.min(axis=0)).astype(int), 0)
        high = np.minimum(np.ceil(corners.max(axis=0)).astype(int) + 1, [photo.width, photo.height])
        part = np.s_[low[1] : high[1], low[0] : high[0]]
        light = Photo(np.ascontiguousarray(photo.codes[part]), photo.curve).linear()
        mask = np.zeros(light.shape[:2], np.uint8)
        cv2.fillConvexPoly(mask, np.rint(corners - low).astype(np.int32).reshape(-1, 1, 2), 1)
        inside = light[mask > 0]
        measured[number] = calm_mean(inside)
        burnt[number] = (inside.max(axis=1) >= FULL).mean() > 0.1
    return measured, burnt


def _judged(outline: Floats, middles: Floats, grid: Floats, measured: Floats, burnt: NDArray[np.bool_]) -> Chart:
    wanted = REFLECTANCE @ LUMINANCE
    good = ~burnt & (measured.min(axis=1) > _DARKEST / 4) & (measured @ LUMINANCE > _DARKEST)
    nothing = np.full(6, np.nan)
    if good[NEUTRALS].sum() < 4 or good.sum() < 14:
        which = "burnt out" if burnt.sum() >= (~good).sum() / 2 else "too dark"
        way = "less" if which == "burnt out" else "more"
        problem = f"Much of the colour chart is {which} in this photo. Expose the photo {way}."
        return Chart(outline, middles, measured, np.full(3, np.nan), np.inf, nothing, np.nan, problem)
    neutral = NEUTRALS[good[NEUTRALS]]
    balance = np.median(np.log(measured[neutral] / REFLECTANCE[neutral]), axis=0)
    tint = balance - balance[1]
    strength = np.log(np.maximum(measured / np.exp(tint) @ LUMINANCE, _DARKEST)) - np.log(wanted)
    plane, tone, left, deviation = _even_light(grid, np.log(wanted), strength, good)
    steps = (strength - plane)[NEUTRALS] * value_per_log(wanted[NEUTRALS])
    steps = np.where(good[NEUTRALS], steps, np.nan)
    at_middle = float(plane.mean())
    out = measured / np.exp(tint) / np.exp(plane)[:, None]
    colours = np.flatnonzero(good[:18])
    difference = float(delta_e_2000(lab(out[colours]), lab(REFLECTANCE[colours])).mean())
    stray = np.abs(left)
    shadow = (
        stray[neutral].max() > _NEUTRALS_STRAY
        or (stray[colours] > _COLOURS_STRAY).sum() >= 3
        or np.ptp(plane) > _SLOPE_MOST
    )
    problem = _IN_SHADOW if shadow else ""
    sigma = float(np.hypot(_CHART_LOG, deviation))
    notes = () if problem else _told(steps, burnt, tone)
    return Chart(outline, middles, measured, at_middle + tint, sigma, np.asarray(steps), difference, problem, notes)


_IN_SHADOW = (
    "The neutral patches of the colour chart disagree about the light: part of it lies in shadow or glare. Lay it flat "
    "beside the canvas, where nothing throws a shadow on it."
)


def _even_light(
    grid: Floats, log_wanted: Floats, strength: Floats, good: NDArray[np.bool_]
) -> tuple[Floats, Floats, Floats, float]:
    """The light over the chart as a plane ``(24,)``, the tone curve's bend ``(24,)``, what is left ``(24,)`` and the
    standard uncertainty of the light at the middle; least squares with Tukey's weights."""
    middle = grid - grid.mean(axis=0)
    contrast = log_wanted - np.log(0.2)
    terms = np.column_stack([np.ones(24), middle, contrast, contrast**2])
    weight, scale = good.astype(float), 0.3
    weight[NEUTRALS] *= 2.0
    held = np.diag([0.0, 0.0, 0.0, 0.02, 0.02])
    trust = weight.copy()
    for _ in range(12):
        normal = (terms.T * trust) @ terms + held
        answer = np.linalg.solve(normal, (terms.T * trust) @ strength)
        left = strength - terms @ answer
        scale = max(0.75 * scale, 0.03)
        trust = weight * np.clip(1 - (left / (4 * scale)) ** 2, 0, None) ** 2 + 1e-9 * weight
    spread = float((trust * left**2).sum() / max(float(trust.sum()), 1e-9))
    deviation = float(np.sqrt(spread * np.linalg.inv(normal)[0, 0]))
    return terms[:, :3] @ answer[:3], terms[:, 3:] @ answer[3:], left, deviation


def _told(steps: Floats, burnt: NDArray[np.bool_], tone: Floats) -> tuple[str, ...]:
    notes = []
    if burnt[NEUTRALS].any():
        notes.append("The white patch of the chart is burnt out; its greys were used. Expose the photo a little less.")
    worst = float(np.nanmax(np.abs(steps)))
    if worst > _TONE_TOLD:
        dark = float(steps[np.isfinite(steps)][-1])
        light = float(steps[np.isfinite(steps)][0])
        contrast = "stronger" if light - dark > 0 else "weaker"
        notes.append(
            f"The camera's contrast is {contrast} than the scene's: the chart's greys read up to {worst:.1f} step off "
            "once the light is out. Keep the camera's effects off, or allow for this in the darks and lights."
        )
    return tuple(notes)
