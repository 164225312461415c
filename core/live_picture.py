"""The live picture: a frame as the canvas laid flat, in colour, in grey, in value steps, or squinted at. Many a second.

What the exact ways (:func:`core.canvas.lay_flat.lay_flat`, :mod:`core.tone`, :mod:`core.value`) do in tenths of a
second is done here in hundredths. The differences are told in codes at each step, and checked in the tests.

Colour interpolates codes linearly, where the exact way interpolates light by a cubic: on a smooth picture 99 of 100
codes lie within 3, the worst within 16; on one that is all grain of the pixel's size 99 of 100 within 38.
Grey and steps are :mod:`core.tone`'s own sums. A squint is a Gaussian on light as :mod:`core.value.squint` makes it, on
a picture reduced by two, four and so on: 99 of 100 codes lie within 2 of it, the worst within 12.

A 1080p frame laid flat 1400 px wide, ms of one processor, least of 12 on a busy machine: colour 6, grey 11, steps 11,
squint 19-22 in colour, 13 in grey and 14 in steps; as seen 0.5, 6, 6 and 9-12. Two processors bring colour to 4.
Sampling three channels took 12 to 14 by a float map, 14 to 17 by a fixed one; four channels take 5, with 1.5 for the
way there and back.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import cv2
import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.canvas.canvas_map import CanvasMap
from core.colorimetry import LUMINANCE, encode_srgb, luminance_of_value
from core.develop import GROUND_VALUE, srgb_curve
from core.errors import CanvasError, ValuesError
from core.frames.frame import Frame
from core.size import Size
from core.tone import luminance_of_linear, luminance_of_values, strips

Codes = NDArray[np.uint8]
Light16 = NDArray[np.uint16]

_FULL = 65535
_MESH = 16
"""The lens is worked out at every 16th pixel: it bends by under 0.01 px between."""
_MOST_SAMPLES, _MOST_SIDE = 4, 8192
_STRIP_PIXELS = 90_000
_KERNEL, _LEAST_PX = 3.0, 0.3
"""Standard deviations to each side of a blur; and the least that is made at all."""
_GAINS = (0.125, 8.0)
_SMALL_PX = 96
_TOLD = (0.01, 0.9)
"""Light of the live picture below and above this is noise, or cut off by the camera."""
_ENOUGH = 0.05


@dataclass(frozen=True)
class LiveLook:
    """``boundaries``: Munsell values between steps, rising, for "steps". ``squint_mm``: a blur, on the canvas.
    ``gain``: on linear light. Raises ValuesError for what cannot be shown."""

    kind: Literal["colour", "grey", "steps"] = "colour"
    boundaries: tuple[float, ...] = ()
    squint_mm: float = 0.0
    gain: float = 1.0

    def __post_init__(self) -> None:
        rising = np.diff(np.array([0.0, *self.boundaries, 10.0]))
        if not (rising > 0).all() or len(self.boundaries) > 254:
            raise ValuesError("The boundaries between value steps rise, between black (0) and white (10).")
        if self.kind == "steps" and not self.boundaries:
            raise ValuesError("Value steps need at least one boundary between them. Choose how many steps to see.")
        if not 0 <= self.squint_mm < 1000:
            raise ValuesError("A squint is a number of mm, 0 or more.")
        if not 0 < self.gain < 1000:
            raise ValuesError("A picture is made brighter or darker by a number above 0.")


class LivePicture:
    """Of a canvas of ``size``. Used from one thread; what it gives is new each time."""

    def __init__(self, size: Size) -> None:
        self.size = size
        self._px_per_mm: float | None = None
        self._key: tuple[Any, ...] = ()
        self._maps: tuple[Any, Any] = (None, None)
        self._samples, self._shape = 1, (1, 1)

    def flat(self, frame: Frame, corners_px: ArrayLike, *, k1: float, width_px: int, look: LiveLook) -> Codes:
        """sRGB codes of the canvas laid flat, ``(h, width_px, 3)`` uint8, or ``(h, width_px)`` in grey and in steps.

        ``corners_px``: ``(4, 2)`` px of the frame, TL TR BR BL. What lies outside the frame is a neutral grey of
        Munsell value 5. Codes are sampled linearly. Raises CanvasError for corners that cannot be a canvas.
        """
        corners = np.asarray(corners_px, dtype=np.float64)
        key = (corners.tobytes(), float(k1), int(width_px), frame.width, frame.height)
        if key != self._key:
            self._prepare(corners, float(k1), int(width_px), frame)
            self._key = key
        scale = width_px / self.size.width_mm
        return _looked_at(self._laid(frame.codes), look, look.squint_mm * scale)

    def as_seen(self, frame: Frame, look: LiveLook) -> Codes:
        """The frame itself, ``(H, W, 3)`` or ``(H, W)``. Its scale is that of the canvas laid flat last; before that
        the canvas is taken to fill the frame."""
        filled = min(frame.width / self.size.width_mm, frame.height / self.size.height_mm)
        scale = filled if self._px_per_mm is None else self._px_per_mm
        return _looked_at(frame.codes, look, look.squint_mm * scale)

    def _prepare(self, corners: NDArray[np.float64], k1: float, width_px: int, frame: Frame) -> None:
        canvas = CanvasMap(corners, self.size, frame.width, frame.height, k1)
        scale = width_px / self.size.width_mm
        height_px = max(1, round(self.size.height_mm * scale))
        if width_px < 1 or max(width_px, height_px) > _MOST_SIDE:
            raise CanvasError(f"The canvas cannot be shown {width_px} pixels wide. Make the window narrower.")
        face = np.array([[0.5, 0.5], [0.5, 0.1], [0.5, 0.9], [0.1, 0.5], [0.9, 0.5]])
        scales = canvas.scales(face * (self.size.width_mm, self.size.height_mm))
        self._px_per_mm = float(scales[0].mean())
        self._samples = int(np.clip(np.ceil(float(scales.max()) / scale - 0.3), 1, _MOST_SAMPLES))
        self._shape = (height_px, width_px)
        fine = scale * self._samples
        if k1 == 0.0:
            # Sample i lies at (i + 0.5) / fine mm.
            from_sample = np.array([[1 / fine, 0, 0.5 / fine], [0, 1 / fine, 0.5 / fine], [0, 0, 1]])
            self._maps = (canvas.matrix @ from_sample, None)
        else:
            self._maps = _mapped(canvas, fine, (height_px * self._samples, width_px * self._samples))

    def _laid(self, codes: Codes) -> Codes:
        """``(h, w, 4)``: the library samples four channels three times as quickly as three."""
        rows, columns = (side * self._samples for side in self._shape)
        four = cv2.cvtColor(codes, cv2.COLOR_RGB2RGBA)
        ground = (_ground(), _ground(), _ground(), 255)
        mode = cv2.BORDER_CONSTANT
        first, second = self._maps
        if second is None:
            how = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
            laid = cv2.warpPerspective(four, first, (columns, rows), flags=how, borderMode=mode, borderValue=ground)
        else:
            laid = cv2.remap(four, first, second, cv2.INTER_LINEAR, borderMode=mode, borderValue=ground)
        if self._samples > 1:
            laid = cv2.resize(laid, self._shape[::-1], interpolation=cv2.INTER_AREA)
        return np.asarray(laid)


def matched_gain(flat: Codes, reference: NDArray[Any]) -> float:
    """The gain on linear light by which a live picture becomes as bright as the reference, as a whole; 0.125-8.

    ``flat``: sRGB codes ``(h, w, 3)`` of the canvas laid flat. ``reference``: linear light ``(H, W, 3)`` or Munsell
    value ``(H, W)`` of the same face, float32, of any size; NaN is left out. The median of the ratios of luminance
    on small copies, so that a hand, or a passage not yet painted, does not count while it is less than half. 1 where
    too little is bright enough to tell.
    """
    given = np.asarray(reference, dtype=np.float32)
    wanted = _small(luminance_of_values(given) if given.ndim == 2 else luminance_of_linear(given))
    curve = srgb_curve()
    live = _small(luminance_of_linear(np.asarray(cv2.LUT(np.ascontiguousarray(flat), curve.reshape(1, -1)))))
    # A camera's light that is cut off within a small pixel is told too dark: what is near it is left out as well.
    told = np.isfinite(wanted) & (wanted > _TOLD[0] / 4) & (live > _TOLD[0]) & (live < _TOLD[1])
    if told.mean() < _ENOUGH:
        return 1.0
    return float(np.clip(np.median(wanted[told] / live[told]), *_GAINS))


def _small(light: NDArray[np.float32]) -> NDArray[np.float32]:
    return np.asarray(cv2.resize(light, (_SMALL_PX, _SMALL_PX), interpolation=cv2.INTER_AREA))


def _mapped(canvas: CanvasMap, px_per_mm: float, shape: tuple[int, int]) -> tuple[Any, Any]:
    """Frame px ``shape`` float32, x and y, of every sample; node i of the mesh lies at sample (i - 0.5) _MESH - 0.5."""
    nodes = [(np.arange(-(-side // _MESH) + 2) - 0.5) * _MESH / px_per_mm for side in shape]
    y, x = np.meshgrid(*nodes, indexing="ij")
    mesh = canvas.mm_to_px(np.stack([x, y], axis=-1)).astype(np.float32)
    whole = (len(nodes[1]) * _MESH, len(nodes[0]) * _MESH)
    planes = []
    for axis in (0, 1):
        full = cv2.resize(np.ascontiguousarray(mesh[..., axis]), whole, interpolation=cv2.INTER_LINEAR)
        planes.append(np.ascontiguousarray(full[_MESH : _MESH + shape[0], _MESH : _MESH + shape[1]]))
    return planes[0], planes[1]


def _looked_at(codes: Codes, look: LiveLook, sigma_px: float) -> Codes:
    """``codes``: ``(h, w, 3)`` or ``(h, w, 4)``."""
    squinted = sigma_px >= _LEAST_PX
    if look.kind != "colour":
        grey = look.kind == "grey"
        table = _grey_table(look.gain) if grey else _step_table(look.boundaries, look.gain)
        if not squinted:
            return _by_luminance(codes, table)
        # A step's border stays sharp only where it is looked up last.
        return _blurred(_by_luminance(codes, None), sigma_px, table, first=grey)
    three = codes if codes.shape[2] == 3 else np.asarray(cv2.cvtColor(codes, cv2.COLOR_RGBA2RGB))
    if squinted:
        return _blurred(three, sigma_px, _grey_table(look.gain), first=True)
    if look.gain == 1.0:
        return three.copy() if three is codes else three
    return _look_up(three, _gain_table(look.gain))


def _by_luminance(codes: Codes, table: NDArray[Any] | None) -> NDArray[Any]:
    """Relative luminance ``(h, w)`` uint16, 65535 for white, added up as :mod:`core.tone` does; or what ``table`` holds
    for it. In strips that stay in the processor's cache."""
    answer = np.empty(codes.shape[:2], np.uint16 if table is None else table.dtype)
    three = codes if codes.shape[2] == 3 else np.asarray(cv2.cvtColor(codes, cv2.COLOR_RGBA2RGB))
    for rows in strips(codes.shape, _STRIP_PIXELS):
        red, green, blue = (
            _look_up(channel, share) for channel, share in zip(cv2.split(three[rows]), _shares(), strict=True)
        )
        # cv2.add saturates, so three roundings upwards cannot wrap white round to black.
        light = np.asarray(cv2.add(cv2.add(red, green), blue))
        answer[rows] = light if table is None else _look_up(light, table)
    return answer


def _blurred(light: NDArray[Any], sigma_px: float, table: Codes, *, first: bool) -> NDArray[Any]:
    """A Gaussian on light, uint16 (or the codes of it, uint8), with mirrored borders, then looked up in ``table``.

    A wide blur is made on a picture reduced by a whole power of two. ``first``: it is looked up before it is brought
    back to its size, which is quicker; it has nothing fine left to be told wrong.
    """
    height, width = light.shape[:2]
    factor = 2 ** int(np.log2(max(1.0, sigma_px)))
    # The mirror stands at the picture's own edge, whatever the reduced picture's may be.
    beyond = int(np.ceil(_KERNEL * sigma_px)) if factor > 1 else 0
    padded = (-(-(height + beyond) // factor) * factor, -(-(width + beyond) // factor) * factor)
    if padded != (height, width):
        more = (0, padded[0] - height, 0, padded[1] - width)
        light = np.asarray(cv2.copyMakeBorder(light, *more, cv2.BORDER_REFLECT))
    if light.dtype == np.uint8:
        light = _look_up(light, _light_table())
    if factor > 1:
        small = (padded[1] // factor, padded[0] // factor)
        light = np.asarray(cv2.resize(light, small, interpolation=cv2.INTER_AREA))
        # The area's mean and the linear way back blur by themselves: variances of 1/12 and 1/6 of a pixel's square.
        sigma_px = float(np.sqrt(sigma_px**2 / factor**2 - 0.25))
    side = 2 * int(np.ceil(_KERNEL * sigma_px)) + 1
    smooth = cv2.GaussianBlur(light.astype(np.float32), (side, side), sigma_px, borderType=cv2.BORDER_REFLECT)
    answer = (np.asarray(smooth) + np.float32(0.5)).astype(np.uint16)
    if first:
        answer = _look_up(answer, table)
    if factor > 1:
        answer = np.asarray(cv2.resize(answer, padded[::-1], interpolation=cv2.INTER_LINEAR))
    answer = np.ascontiguousarray(answer[:height, :width])
    return answer if first else _look_up(answer, table)


def _look_up(codes: NDArray[Any], table: NDArray[Any]) -> NDArray[Any]:
    return np.asarray(cv2.LUT(codes, table.reshape(1, -1))).reshape(codes.shape)


def _to_codes(light: NDArray[Any]) -> Codes:
    return np.rint(255.0 * encode_srgb(np.clip(light, 0.0, 1.0))).astype(np.uint8)


@lru_cache(maxsize=1)
def _ground() -> int:
    return int(_to_codes(np.asarray(luminance_of_value(np.array([GROUND_VALUE]))))[0])


@lru_cache(maxsize=1)
def _shares() -> Light16:
    """``(3, 256)``: what each code of red, green and blue adds to luminance."""
    curve = srgb_curve().astype(np.float64)
    shares: Light16 = np.rint(LUMINANCE.reshape(3, 1) * curve * _FULL).astype(np.uint16)
    return shares


@lru_cache(maxsize=1)
def _light_table() -> Light16:
    return np.rint(srgb_curve().astype(np.float64) * _FULL).astype(np.uint16)


@lru_cache(maxsize=8)
def _gain_table(gain: float) -> Codes:
    """``(256,)``: the code of each code's light times ``gain``."""
    return _to_codes(srgb_curve().astype(np.float64) * gain)


@lru_cache(maxsize=8)
def _grey_table(gain: float) -> Codes:
    """``(65536,)``: the code of the grey of each luminance times ``gain``."""
    return _to_codes(np.arange(_FULL + 1) * (gain / _FULL))


@lru_cache(maxsize=8)
def _step_table(boundaries: tuple[float, ...], gain: float) -> Codes:
    """``(65536,)``: the grey of the step of each luminance times ``gain``. Each step is shown at the middle of its
    values, which does not flicker as the mean of what lies in it would."""
    ends = np.array([0.0, *boundaries, 10.0])
    greys = _to_codes(np.asarray(luminance_of_value((ends[:-1] + ends[1:]) / 2)))
    lowest = np.asarray(luminance_of_value(np.array(boundaries)))
    step = np.searchsorted(lowest, np.arange(_FULL + 1) * (gain / _FULL), side="right")
    return np.asarray(greys[step])
