"""The signed difference of values as a picture: too dark in blues, too light in ochres, right in neutral grey.

Three things carry the sign, so that it reads for eyes of every kind and in a grey print: the hue (blue against
yellow, the axis that protan and deutan sight keeps), the lightness (too dark is darker, too light is lighter), and
the way the hatching leans.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Rgb = tuple[int, int, int]
Entry = tuple[str, Rgb, tuple[float, float]]

_TIMES = (1.0, 2.0, 4.0)
"""Band limits, in tolerances."""
_DARK: tuple[Rgb, ...] = ((22, 36, 112), (40, 82, 158), (96, 128, 176))
_RIGHT: Rgb = (150, 150, 150)
_LIGHT: tuple[Rgb, ...] = ((204, 166, 118), (245, 184, 36), (255, 229, 150))
_WITHHELD: Rgb = (112, 112, 112)
COLOURS: tuple[Rgb, ...] = (*_DARK, _RIGHT, *_LIGHT, _WITHHELD)
"""From far too dark to far too light, then withheld; sRGB."""
_HATCH_TIMES = (5, 8, 12)
"""Distance of the hatching lines in line widths: the worse, the closer."""
_CROSSED_TIMES, _PERIOD = 12, 120
_TOWARDS = 0.35


def difference_picture(difference: NDArray[Any], *, tolerance: float = 0.5) -> NDArray[np.uint8]:
    """``difference`` ``(H, W)`` in Munsell steps (canvas minus reference, NaN: withheld) as sRGB ``(H, W, 3)`` uint8.

    Flat bands with limits at one, two and four tolerances; hatched the way their sign leans, the closer the worse.
    ValueError when the tolerance is not above 0.
    """
    if not tolerance > 0:
        raise ValueError(f"the tolerance must be above 0, got {tolerance}")
    band = _bands(np.asarray(difference, dtype=np.float32), tolerance)
    plain = np.array(COLOURS, dtype=np.uint8)
    lines = np.array([_line_colour(k) for k in range(len(COLOURS))], dtype=np.uint8)
    table = np.concatenate([plain, lines])
    return np.asarray(table[band + _hatching(band) * np.uint8(len(COLOURS))])


def legend(tolerance: float = 0.5) -> list[Entry]:
    """What each colour means, from too dark to too light and then withheld: ``(label, (r, g, b), (low, high))``.

    ``low`` and ``high`` are Munsell steps, canvas minus reference; infinite at the ends, NaN where withheld.
    """
    limits = [t * tolerance for t in _TIMES]
    entries: list[Entry] = []
    for side, sign in (("dark", -1), ("light", 1)):
        colours = _DARK[::-1] if sign < 0 else _LIGHT
        part: list[Entry] = []
        for k, colour in enumerate(colours):
            low, high = limits[k], limits[k + 1] if k + 1 < len(limits) else float("inf")
            far = f"more than {_steps(low)}" if k + 1 == len(limits) else f"{low:g} to {_steps(high)}"
            part.append((f"{far} too {side}", colour, (low, high) if sign > 0 else (-high, -low)))
        entries += part if sign > 0 else part[::-1]
    entries.insert(len(limits), (f"right, within {_steps(tolerance)}", _RIGHT, (-tolerance, tolerance)))
    entries.append(("withheld: glare, not seen, or the drawing has moved", _WITHHELD, (float("nan"), float("nan"))))
    return entries


def _steps(number: float) -> str:
    return f"{number:g} step" if number <= 1 else f"{number:g} steps"


def _bands(difference: NDArray[np.float32], tolerance: float) -> NDArray[np.uint8]:
    """Index into COLOURS of every pixel."""
    right = len(_DARK)
    band = np.full(difference.shape, right, np.uint8)
    for times in _TIMES:
        band += difference > times * tolerance
        band -= difference < -times * tolerance
    band[np.isnan(difference)] = len(COLOURS) - 1
    return band


def _hatching(band: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """1 on hatching lines, else 0: falling for too dark, rising for too light, crossed where withheld."""
    line = max(1, round(min(band.shape) / 900))
    row, column = (np.arange(side) // line % _PERIOD for side in band.shape)
    place = band.astype(np.uint16) * np.uint16(2 * _PERIOD)
    falling = (column[None, :] + (_PERIOD - row)[:, None]).astype(np.uint16)
    rising = (column[None, :] + row[:, None]).astype(np.uint16)
    fall, rise = _hatches()
    return np.asarray(fall[falling + place] | rise[rising + place])


def _hatches() -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """Where a falling and a rising line lies in every band, over two periods; the bands one after the other."""
    fall, rise = np.zeros((2, len(COLOURS), 2 * _PERIOD), np.uint8)
    for k, times in enumerate(_HATCH_TIMES):
        fall[k, ::times] = 1
        rise[2 * len(_DARK) - k, ::times] = 1
    fall[-1, ::_CROSSED_TIMES] = rise[-1, ::_CROSSED_TIMES] = 1
    return fall.ravel(), rise.ravel()


def _line_colour(index: int) -> Rgb:
    """Lines are lighter than a dark band and darker than a light one."""
    end = 255 if index < len(_DARK) else 0
    red, green, blue = (round(c + _TOWARDS * (end - c)) for c in COLOURS[index])
    return red, green, blue
