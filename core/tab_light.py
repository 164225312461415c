"""The light on the canvas told by the corner tabs: their white paper, or their greys where that is burnt out.

On a simulated photo of a painting 0.9 step lighter than its reference the level is 0.04 step off by the white of four
tabs, 0.22 by their greys, and 0.9 by the fit alone (tests/core/test_tab_light.py).

Paper is the surest part of a print: wood-free uncoated paper has a lightness of about 95 (paper type 5 of
ISO 12647-2:2013, from memory), which is a luminance of 0.876; printed greys depend on the printer. What is off in the
paper is off in all four alike, so four tabs know the level no better than one; but together they are less easily led
astray by a shadow on one of them.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from core.canvas.canvas_map import CanvasMap, homography, project
from core.canvas.locate import CanvasFix
from core.canvas.tab_find import find_tabs
from core.canvas.tabs import GREY_VALUES, QUIET_MM, TAB_MM, FoundTab, grey_squares
from core.colorimetry import LUMINANCE, luminance_of_value
from core.errors import ValuesError
from core.photo import Photo
from core.size import Size
from core.value.even_patch import EvenPatch, patch_within
from core.value.light import LightCorrection
from core.value.light_anchor import LightAnchor, LightThere, light_at

Points = NDArray[np.float64]

PAPER_LUMINANCE, PAPER_LOG = 0.876, 0.05
"""Of white paper, and its standard uncertainty in natural logarithms: 0.1 of a value step."""
PRINTED_LOG = 0.25
"""How far a printed grey is off: half a value step, from memory."""
_COLOUR_LOG = 0.05
"""Brighteners make paper bluish in daylight."""
_RIM_MM = 1.5
_APART, _FROM_FIT = 0.25, 0.6
"""Natural logarithms by which a tab's light may stray from that of the others, and, where fewer than three are seen,
from the light as fitted, whose level a painting that is too light or too dark as a whole leads astray."""
_FEWEST_PX, _BURNT, _UNEVEN = 60, 0.02, 0.15


def tab_anchors(
    photo: Photo, fix: CanvasFix, size: Size, *, light: LightCorrection, tabs: Sequence[FoundTab] | None = None
) -> tuple[tuple[LightAnchor, ...], tuple[str, ...]]:
    """The light at each corner tab that shows its white or a grey, and a sentence for each that lies in other light.

    ``light``: found without them. ``tabs``: where they have been found already.
    """
    found = find_tabs(photo) if tabs is None else tuple(tabs)
    measured = [(tab, anchor) for tab in found if (anchor := _anchor(photo, fix, size, tab)) is not None]
    field = -np.log(light.gain.astype(np.float64))
    stray = [_strength(anchor, light_at(field, size, anchor.x_mm, anchor.y_mm)) for _, anchor in measured]
    usual = float(np.median(stray)) if len(stray) > 2 else 0.0
    level = _APART if len(stray) > 2 else _FROM_FIT
    kept = [pair for pair, off in zip(measured, stray, strict=True) if abs(off - usual) < level]
    notes = tuple(
        f"The {tab.name} tab lies in other light than the canvas, and its white was not used."
        for (tab, _), off in zip(measured, stray, strict=True)
        if abs(off - usual) >= level
    )
    # So that what they have in common counts once, however many there are.
    together = float(np.sqrt(max(len(kept), 1)))
    return tuple(
        replace(anchor, sigma=anchor.sigma * together, colour_sigma=anchor.colour_sigma * together)
        for _, anchor in kept
    ), notes


def _strength(anchor: LightAnchor, there: LightThere) -> float:
    """By how much, in natural logarithms, an anchor is lighter than the light found without it."""
    return float(np.log(np.exp(anchor.log_light - there.log) @ LUMINANCE))


def _anchor(photo: Photo, fix: CanvasFix, size: Size, tab: FoundTab) -> LightAnchor | None:
    to_px = homography(tab.corners_px, Size(TAB_MM, TAB_MM))
    for outlines, luminance, sigma in _places(tab.corner):
        patches = [
            each for each in (_patch(photo, project(to_px, outline)) for outline in outlines) if each is not None
        ]
        if not patches:
            continue
        whole = np.concatenate([patch.outline_px for patch in patches])
        to_mm = CanvasMap(fix.corners_px, size, photo.width, photo.height, fix.k1)
        x_mm, y_mm = to_mm.px_to_mm(np.mean([patch.centre_px for patch in patches], axis=0))
        log = np.mean([patch.log_light for patch in patches], axis=0) - np.log(luminance)
        return LightAnchor(
            "tab", float(x_mm), float(y_mm), log, sigma, _COLOUR_LOG, to_mm.px_to_mm(whole), whole
        )  # fmt: skip
    return None


def _places(corner: int) -> list[tuple[list[Points], float, float]]:
    """From the surest on: outlines ``(4, 2)`` tab mm, their luminance, and how surely it is known."""
    side, far = QUIET_MM - _RIM_MM, TAB_MM - _RIM_MM
    beside = [_box(-side, _RIM_MM, -_RIM_MM, far), _box(TAB_MM + _RIM_MM, _RIM_MM, TAB_MM + side, far)]
    found = [(beside, PAPER_LUMINANCE, PAPER_LOG)]
    for value, square in sorted(zip(GREY_VALUES, grey_squares(corner), strict=True), key=lambda pair: -pair[0]):
        middle = square.mean(axis=0)
        inner = middle + (square - middle) * (1 - 2 * _RIM_MM / np.ptp(square[:, 0]))
        found.append(([inner], float(luminance_of_value(value)), PRINTED_LOG))
    return found


def _box(left: float, top: float, right: float, foot: float) -> Points:
    return np.array([[left, top], [right, top], [right, foot], [left, foot]])


def _patch(photo: Photo, outline_px: Points) -> EvenPatch | None:
    """None where it is burnt out, uneven, too small, or not whole in the photo."""
    inside = (outline_px > 0).all() and (outline_px < [photo.width - 1, photo.height - 1]).all()
    try:
        patch = patch_within(photo, outline_px) if inside else None
    except ValuesError:
        return None
    if patch is None or patch.pixels < _FEWEST_PX or patch.burnt > _BURNT or patch.scatter > _UNEVEN:
        return None
    return patch
