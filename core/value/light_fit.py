"""A smooth field of light fitted robustly to canvas over reference.

Light is smooth; a passage painted too dark is not: it has a border. So the field is fitted chiefly to *differences*
between places 2, 5 and 10 cells apart: inside a passage that is off as a whole they are as good as elsewhere, and
only those that cross its border are outliers. The ratio itself, which a large passage falsifies all over, is given
little weight.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, munsell_value
from core.value.light_grid import CoarseView, Floats, value_per_log

DEGREE = 5
_LAGS = (2, 5, 10)
_RATIO_WEIGHT = 0.03
_STIFF, _SUPPLE = 2e-3, 3e-5
"""Weights of the penalty on bent terms: slopes of light go free, ripples are held back."""
_WORTH_BENDING = 0.96
_STEPS_AT_LAST, _DIFFERENCES_AT_LAST = 0.2, 0.15
"""Scale of the Tukey weights at the end, Munsell steps; it starts at 1.5 and shrinks, so that no local answer holds."""
_ROUNDS = 20
_PAINT_STEPS = 0.12
_PLACE_MM = 0.6
_PIN = 1e4


@dataclass(frozen=True)
class Pins:
    """Places where the logarithm of the light is known: rows and columns on the grid, and values ``(n, 3)``."""

    rows: NDArray[np.intp]
    columns: NDArray[np.intp]
    log_light: Floats


@dataclass(frozen=True)
class Sample:
    """What a field is fitted to: natural logarithms ``ratio`` ``(h, w)``, the Munsell steps that one logarithm makes
    there (``slope``), so that outliers are judged in steps, and the inverse variance ``trust``."""

    ratio: Floats
    slope: Floats
    trust: Floats


@dataclass(frozen=True)
class SmoothField:
    """``log``: ``(h, w)`` natural logarithm of the field; ``deviation``: its standard uncertainty from the scatter.

    ``believed``: ``(h, w)`` 0-1, how far each cell went with it; ``cost``: what it leaves unexplained, 0-1.
    """

    log: Floats
    deviation: Floats
    believed: Floats
    cost: float


@dataclass(frozen=True)
class FittedLight:
    """``log``: ``(h, w, 3)`` natural logarithm of the light in each channel; ``deviation``: ``(h, w)`` of luminance.

    ``left``: ``(h, w)`` Munsell steps by which the canvas then still differs; ``believed``: ``(h, w)`` 0-1.
    """

    log: Floats
    deviation: Floats
    left: Floats
    believed: Floats


def fit_light(
    view: CoarseView, pins: Pins | None = None, *, degree: int = DEGREE, colour_degree: int = 1
) -> FittedLight:
    """The light on ``view`` in each channel: first its colour, as planes, then its strength.

    The strength is fitted stiffly (a window, a lamp some way off) and, where that explains clearly more, supply (the
    hot spot of a near lamp).
    """
    log_canvas, log_reference = np.log(view.canvas), np.log(view.reference)
    ratio = log_canvas - log_reference
    colour = np.zeros_like(ratio)
    for channel in (0, 2):
        tint = Sample(ratio[..., channel] - ratio[..., 1], np.full(view.shape, 2.0), _colour_trust(view, channel))
        known = None if pins is None else pins.log_light[:, channel] - pins.log_light[:, 1]
        colour[..., channel] = robust_field(tint, degree=colour_degree, pins=pins, pinned=known).log
    wanted = view.reference @ LUMINANCE
    slope = value_per_log(wanted)
    strength = np.log(np.exp(log_canvas - colour) @ LUMINANCE) - np.log(wanted)
    sample = Sample(strength, slope, _strength_trust(view, slope))
    known = None if pins is None else pins.log_light[:, 1]
    field = robust_field(sample, degree=degree, pins=pins, pinned=known)
    if degree > 2:
        bent = robust_field(sample, degree=degree, pins=pins, pinned=known, bend=_SUPPLE)
        field = bent if bent.cost < _WORTH_BENDING * field.cost else field
    return FittedLight(colour + field.log[..., None], field.deviation, (strength - field.log) * slope, field.believed)


def contrast_left(view: CoarseView, left: Floats) -> float:
    """Slope of what is left against the reference's value: 0.1 when the canvas's contrast is a tenth too strong.

    Cauchy's weights, so that passages that are off do not count for much.
    """
    luminance = view.reference @ LUMINANCE
    value, slope = munsell_value(luminance).ravel(), value_per_log(luminance)
    trust = (view.known / (0.15**2 + (_PLACE_MM * view.edges * slope) ** 2)).ravel()
    line = np.stack([np.ones_like(value), value - 5.0], axis=1)
    at: Floats = np.zeros(2)
    for _ in range(15):
        weight = trust / (1 + ((left.ravel() - line @ at) / 0.25) ** 2)
        at[:] = np.linalg.solve((line.T * weight) @ line + 1e-6 * np.eye(2), line.T @ (weight * left.ravel()))
    return float(at[1])


def _strength_trust(view: CoarseView, slope: Floats) -> Floats:
    steps = _PAINT_STEPS**2 + (_PLACE_MM * view.edges * slope) ** 2
    return np.asarray(view.known * slope**2 / steps)


def _colour_trust(view: CoarseView, channel: int) -> Floats:
    """Little where a channel is too dark to tell its share, or the reference changes fast."""
    noise = (0.004 / view.canvas[..., channel]) ** 2 + (0.004 / view.canvas[..., 1]) ** 2
    return np.asarray(view.known / (0.06**2 + noise + (0.3 * view.edges) ** 2))


def robust_field(
    sample: Sample,
    *,
    degree: int = DEGREE,
    bend: float = _STIFF,
    pins: Pins | None = None,
    pinned: Floats | None = None,
) -> SmoothField:
    """A smooth field through ``sample`` that passages with borders do not bend; ``pinned`` at ``pins`` if given.

    Iteratively reweighted least squares with Tukey's weights, the scale shrinking from round to round.
    """
    shape, y, steps = sample.ratio.shape, sample.ratio.ravel(), sample.slope.ravel()
    terms, held = legendre_terms(shape, degree)
    weight = sample.trust.ravel() / max(float(sample.trust.mean()), 1e-12)
    one, other = _pairs(shape)
    pair_terms, pair_y, pair_steps = terms[one] - terms[other], y[one] - y[other], np.sqrt(steps[one] * steps[other])
    pair_weight = weight[one] * weight[other] / (weight[one] + weight[other] + 1e-12) / len(_LAGS)
    fixed, target = np.diag(bend * held * weight.sum() + 1e-9), np.zeros(len(held))
    if pins is not None and pinned is not None:
        at_pins = terms.reshape(*shape, -1)[pins.rows, pins.columns]
        fixed, target = fixed + _PIN * at_pins.T @ at_pins, _PIN * at_pins.T @ pinned
    believed, pair_believed, scale = np.ones_like(y), np.ones_like(pair_y), 1.5
    for _ in range(_ROUNDS):
        w, p = _RATIO_WEIGHT * weight * believed, pair_weight * pair_believed
        normal = fixed + (terms.T * w) @ terms + (pair_terms.T * p) @ pair_terms
        field = np.linalg.solve(normal, target + terms.T @ (w * y) + pair_terms.T @ (p * pair_y))
        left, pair_left = (y - terms @ field) * steps, (pair_y - pair_terms @ field) * pair_steps
        scale *= 0.87
        believed = _tukey(left, max(scale, _STEPS_AT_LAST))
        pair_believed = _tukey(pair_left, max(scale, _DIFFERENCES_AT_LAST))
    inner = weight * believed
    spread = float((inner * (left / steps) ** 2).sum() / max(float(inner.sum()), 1e-12))
    covariance = spread * np.linalg.inv(fixed + (terms.T * inner) @ terms)
    variance = np.einsum("ij,jk,ik->i", terms, covariance, terms)
    return SmoothField(
        log=(terms @ field).reshape(shape),
        deviation=np.sqrt(variance).reshape(shape),
        believed=believed.reshape(shape),
        cost=_unexplained(pair_believed, pair_weight) + _RATIO_WEIGHT * _unexplained(believed, weight),
    )


def _unexplained(believed: Floats, weight: Floats) -> float:
    """Mean of Tukey's loss, 0 (all explained) to 1: his weight is ``(1 - u^2)^2``, his loss ``1 - (1 - u^2)^3``."""
    return float((weight * (1 - believed**1.5)).sum() / max(float(weight.sum()), 1e-12))


def legendre_terms(shape: tuple[int, int], degree: int) -> tuple[Floats, Floats]:
    """Products of Legendre polynomials over the canvas ``(h w, terms)``, and how much each is held back."""
    h, w = shape
    half = max(h, w) / 2
    x = (np.arange(w) + 0.5 - w / 2) / half
    y = (np.arange(h) + 0.5 - h / 2) / half
    along_x = np.polynomial.legendre.legvander(x, degree)
    along_y = np.polynomial.legendre.legvander(y, degree)
    powers = [(i, j) for i in range(degree + 1) for j in range(degree + 1 - i)]
    terms = np.stack([np.outer(along_y[:, j], along_x[:, i]).ravel() for i, j in powers], axis=1)
    order = np.array([i + j for i, j in powers], dtype=np.float64)
    return terms, np.where(order >= 2, (order - 1) ** 4, 0.0)


def _pairs(shape: tuple[int, int]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    number = np.arange(shape[0] * shape[1]).reshape(shape)
    ends = [
        pair
        for lag in _LAGS
        for pair in ((number[:, :-lag], number[:, lag:]), (number[:-lag], number[lag:]))
        if pair[0].size
    ]
    return np.concatenate([a.ravel() for a, _ in ends]), np.concatenate([b.ravel() for _, b in ends])


def _tukey(left: Floats, scale: float) -> Floats:
    return np.asarray(np.clip(1 - (left / (3 * scale)) ** 2, 0, None) ** 2 + 1e-6)
