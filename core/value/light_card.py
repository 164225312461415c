"""A grey or white card, or bare ground, that the painter points at in the canvas photo, on the canvas or beside it.

The figures on known truth are in :mod:`core.value.light`. A card of 28 mm clicked in its middle is outlined to within a
millimetre; on 32 photos none that lay in the light was refused.
"""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import CanvasMap
from core.canvas.locate import CanvasFix
from core.colorimetry import LUMINANCE, luminance_of_lightness, luminance_of_value
from core.errors import ValuesError
from core.photo import Photo
from core.size import Size
from core.value.even_patch import SMALLEST_PX, EvenPatch, even_patch, patch_within
from core.value.light import LightCorrection
from core.value.light_anchor import LightAnchor, light_at

Scale = Literal["value", "lightness", "luminance"]

CARD_LOG = 0.02
"""Standard uncertainty of a card's stated reflectance: common practice, no source."""
GROUND_LOG = 0.03
_COLOUR_LOG = 0.015
_EVEN_CARD, _EVEN_GROUND = 0.05, 0.09
_ROUGH_CARD, _ROUGH_GROUND = 0.10, 0.15
_BURNT, _BLACK = 0.02, 0.004
_TINTED, _TINTED_FROM_LIGHT = 0.55, 0.16
_SHADOW, _SHADOW_KNOWN = 0.45, 0.22
"""Natural logarithm by which a card may be darker than the light allows: when the level of that light was matched to
the reference (a painting half a step too light as a whole does as much), and when it was known from a blank or card."""
_LIGHTER = 0.6
_WEAVE_MM = 0.8


def reflectance_of(number: float, scale: Scale = "value") -> float:
    """Luminance (0-1) of a Munsell value (0-10), CIE lightness L* (0-100) or luminance in per cent (0-100).

    ValuesError when it is not a number that paper or paint can have.
    """
    y = {
        "value": lambda: float(luminance_of_value(number)),
        "lightness": lambda: float(luminance_of_lightness(number)),
        "luminance": lambda: number / 100.0,
    }[scale]()
    if not (np.isfinite(y) and 0.02 <= y <= 1.0):
        raise ValuesError(
            "A card of known value lies between Munsell value 1.6 and 10 (L* 16 to 100, 2 to 100 % of the light). "
            "Look at the number printed on the card, and at the scale it is given in."
        )
    return y


def photo_card(
    photo: Photo,
    fix: CanvasFix,
    size: Size,
    x_px: float,
    y_px: float,
    value: float,
    *,
    scale: Scale = "value",
    light: LightCorrection | None = None,
) -> LightAnchor:
    """The light on a neutral card that the painter clicked at ``x_px, y_px`` in the canvas photo.

    It lies in the plane of the canvas, on it or beside it. ``value``: its number on ``scale``. ``light``: the light
    found on the canvas without the card; with it a card in shadow, in glare or not neutral is noticed. ValuesError
    with a sentence when the card cannot be used.
    """
    y = reflectance_of(value, scale)
    patch = even_patch(photo, x_px, y_px, tolerance=_EVEN_CARD)
    _usable(patch, "card", _ROUGH_CARD)
    anchor = _anchor(photo, fix, size, patch, "card", np.full(3, np.log(y)), CARD_LOG, _COLOUR_LOG)
    check_in_light(anchor, size, light)
    return anchor


def photo_ground(
    photo: Photo,
    fix: CanvasFix,
    size: Size,
    x_px: float,
    y_px: float,
    value: float,
    *,
    scale: Scale = "value",
    neutral: bool = True,
    light: LightCorrection | None = None,
) -> LightAnchor:
    """The light on a bare patch of ground of known value that the painter clicked; see :func:`photo_card`.

    ``neutral``: False for a toned ground, whose colour then says nothing of the light's.
    """
    y = reflectance_of(value, scale)
    calm = _WEAVE_MM * fix.px_per_mm
    patch = even_patch(photo, x_px, y_px, tolerance=_EVEN_GROUND, calm_px=calm)
    return _on_ground(photo, fix, size, patch, y, neutral=neutral, light=light)


def brushed_ground(
    photo: Photo,
    fix: CanvasFix,
    size: Size,
    outline_mm: ArrayLike,
    value: float,
    *,
    scale: Scale = "value",
    neutral: bool = True,
    light: LightCorrection | None = None,
) -> LightAnchor:
    """The light on bare ground of known value inside an outline drawn on the canvas, ``(n, 2)`` mm; see
    :func:`photo_ground`. Round a large place the light's fall-off is allowed for, and its mean is at its middle."""
    y = reflectance_of(value, scale)
    to_px = CanvasMap(fix.corners_px, size, photo.width, photo.height, fix.k1)
    patch = patch_within(photo, to_px.mm_to_px(np.asarray(outline_mm, dtype=np.float64)))
    return _on_ground(photo, fix, size, patch, y, neutral=neutral, light=light)


def _usable(patch: EvenPatch, what: str, rough: float) -> None:
    if patch.burnt > _BURNT:
        raise ValuesError(f"The {what} is burnt out in this photo. Expose the photo less, or choose a darker one.")
    if patch.pixels < SMALLEST_PX:
        raise ValuesError(
            f"The even area at that place is too small to measure the light on. Click in the middle of the {what}, or "
            "photograph it larger."
        )
    if np.exp(patch.log_light) @ LUMINANCE < _BLACK:
        raise ValuesError(f"The {what} is too dark in this photo to measure the light on. Expose the photo more.")
    if patch.scatter > rough:
        raise ValuesError(
            f"The {what} is not even at that place: part of it is in shadow, in glare or printed on. Click on a part "
            "that is."
        )
    if not patch.bounded:
        raise ValuesError(
            f"No edge of the {what} was found round that place. Click on the {what} itself, and keep all of it in the "
            "photo."
        )


def _on_ground(
    photo: Photo,
    fix: CanvasFix,
    size: Size,
    patch: EvenPatch,
    y: float,
    *,
    neutral: bool,
    light: LightCorrection | None,
) -> LightAnchor:
    _usable(patch, "bare ground", _ROUGH_GROUND)
    colour = 2 * _COLOUR_LOG if neutral else np.inf
    anchor = _anchor(photo, fix, size, patch, "ground", np.full(3, np.log(y)), GROUND_LOG, colour)
    check_in_light(anchor, size, light)
    return anchor


def _anchor(
    photo: Photo,
    fix: CanvasFix,
    size: Size,
    patch: EvenPatch,
    kind: Literal["card", "ground"],
    log_reflectance: NDArray[np.float64],
    sigma: float,
    colour_sigma: float,
) -> LightAnchor:
    to_mm = CanvasMap(fix.corners_px, size, photo.width, photo.height, fix.k1)
    x_mm, y_mm = to_mm.px_to_mm(patch.centre_px)
    noise = patch.scatter / np.sqrt(max(patch.pixels / 4, 1.0))
    return LightAnchor(
        kind=kind,
        x_mm=float(x_mm),
        y_mm=float(y_mm),
        log_light=patch.log_light - log_reflectance,
        sigma=float(np.hypot(sigma, noise)),
        colour_sigma=float(np.hypot(colour_sigma, noise)),
        outline_mm=to_mm.px_to_mm(patch.outline_px),
        outline_px=patch.outline_px,
    )


def check_in_light(anchor: LightAnchor, size: Size, light: LightCorrection | None) -> None:
    """ValuesError where a card or chart cannot lie in the light that the canvas is in, or is not neutral."""
    tint = anchor.log_light - anchor.log_light[1]
    if light is None:
        if np.isfinite(anchor.colour_sigma) and np.abs(tint).max() > _TINTED:
            raise ValuesError(_NOT_NEUTRAL.format(anchor.name))
        return
    there = light_at(-np.log(light.gain.astype(np.float64)), size, anchor.x_mm, anchor.y_mm)
    off = anchor.log_light - there.log
    tinted = np.abs(off - off[1]).max()
    if np.isfinite(anchor.colour_sigma) and tinted > _TINTED_FROM_LIGHT + 3 * there.sigma:
        raise ValuesError(_NOT_NEUTRAL.format(anchor.name))
    strength = float(np.log(np.exp(off) @ LUMINANCE))
    darker = (_SHADOW_KNOWN if light.level_known else _SHADOW) + 2 * there.sigma
    if strength < -darker:
        raise ValuesError(
            f"The {anchor.name} is {-2 * strength:.1f} steps darker than the light on the canvas allows: it lies in "
            "shadow, turned away from the light, or its value is not the one given. Lay it flat beside the canvas in "
            "the same light."
        )
    if strength > _LIGHTER + 2 * there.sigma:
        raise ValuesError(
            f"The {anchor.name} is {2 * strength:.1f} steps lighter than the light on the canvas allows: it shines, "
            "is turned to the light, or its value is not the one given. Lay it flat beside the canvas."
        )


_NOT_NEUTRAL = (
    "The {} is more coloured than the light explains, so it cannot be a neutral grey or white. Click on a grey or "
    "white card."
)
