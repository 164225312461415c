"""How even the light is over a colour card, carried on over the canvas beside it.

The luminance of all patches is fitted at once by three weights of the camera's channels, a plane and a bend of the
curve of contrast: the greys alone, all in one row, cannot tell a curve from light that falls off along it. In 42
simulated photos the light at the canvas's farthest corner, truly 0, 9 and 17 % darker, was found 6 % lighter and 6 and
16 % darker, give or take 6 (one standard deviation; 11 was told), none off by more than twice what was told. Of 14 each
1, 2 and 6 were called uneven: only strong fall-off is sure to be seen (``python -m tests.measure.final_photo``).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.colorimetry import LUMINANCE

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

_STEPS = 15
_MIDDLE = 0.2
_DARKEST = 1e-4
_HELD = np.array([1e-6, 1e-6, 1e-6, 0.0, 0.0, 0.02, 0.02])
_TOLD, _TIMES = 0.1, 1.5
"""Uneven light is told from this natural logarithm, and this many times its uncertainty."""
_CAMERA = 0.03
"""A natural logarithm for each width of the card: three weights of channels are not quite the eye."""


@dataclass(frozen=True)
class Evenness:
    """``change``: natural logarithm of the light at the canvas's farthest corner over that at the card's middle;
    ``sigma``: its standard uncertainty."""

    change: float
    sigma: float

    @property
    def uneven(self) -> bool:
        return abs(self.change) > max(_TIMES * self.sigma, _TOLD)

    def say(self) -> str:
        most, within = (100 * (np.exp(abs(each)) - 1) for each in (self.change, 2 * self.sigma))
        if self.uneven:
            way = "lighter" if self.change > 0 else "darker"
            return (
                "Even light over card and canvas is assumed, but over the card it is not even: carried on over the "
                f"canvas, its farthest corner is {most:.0f} % {way}, give or take {within:.0f} %. Photograph it again "
                "in even light."
            )
        return (
            "Even light over card and canvas is assumed; over the card it is even, which tells it to within "
            f"{max(within, most):.0f} % at the canvas's farthest corner."
        )


NOT_TOLD = "Even light over card and canvas is assumed; where the canvas lies in the photo was not told to check it."


def evenness(measured: Floats, wanted: Floats, places_px: Floats, canvas_px: ArrayLike) -> Evenness:
    """``measured``, ``wanted``: linear light ``(n, 3)`` of the patches used; ``places_px``: their middles ``(n, 2)``;
    ``canvas_px``: the canvas's corners ``(4, 2)``, all in photo px."""
    middle, across = places_px.mean(axis=0), float(np.ptp(places_px, axis=0).max())
    seen, known = np.maximum(measured, _DARKEST), np.log(np.maximum(wanted @ LUMINANCE, _DARKEST))
    contrast = known - np.log(_MIDDLE)
    rest = np.column_stack([(places_px - middle) / across, contrast, contrast**2])
    start = LUMINANCE * np.exp(np.median(known - np.log(seen @ LUMINANCE)))
    answer, trust = np.array([1.0, 1.0, 1.0, 0.0, 0.0, 0.0, 0.0]), np.ones(len(seen))
    for _ in range(_STEPS):
        light = np.maximum(seen @ (start * answer[:3]), _DARKEST / 10)
        left = known - np.log(light) + rest @ answer[3:]
        slopes = np.column_stack([seen * start / light[:, None], -rest])
        normal = (slopes.T * trust) @ slopes + np.diag(_HELD)
        pull = np.r_[np.zeros(3), _HELD[3:] * answer[3:]]
        answer = answer + np.linalg.solve(normal, (slopes.T * trust) @ left - pull)
        scale = max(1.4826 * float(np.median(np.abs(left))), 0.01)
        trust = np.clip(1 - (left / (4 * scale)) ** 2, 0, None) ** 2 + 1e-6
    spread = float((trust * left**2).sum()) / max(float(trust.sum()) - len(answer), 1.0)
    covariance = spread * np.linalg.inv(normal)[3:5, 3:5]
    to = (np.asarray(canvas_px, dtype=np.float64) - middle) / across
    change = to @ answer[3:5]
    far = int(np.argmax(np.abs(change)))
    away = _CAMERA * float(np.linalg.norm(to[far]))
    return Evenness(float(change[far]), float(np.sqrt(max(to[far] @ covariance @ to[far], 0.0) + away**2)))
