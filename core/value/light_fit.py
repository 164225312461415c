"""A smooth field of light fitted robustly to canvas over reference.

Light is smooth; a passage painted too dark is not: it has a border. So the field is fitted chiefly to *differences*
between places 2, 5 and 10 cells apart: inside a passage that is off as a whole they are as good as elsewhere, and
only those that cross its border are outliers. The ratio itself, which a large passage falsifies all over, is given
little weight.

Both ways were measured on paintings of known truth under lights of many kinds (window, near lamp, hot spot, fall-off
of the lens), with passages 0.7 to 2 steps off over 5 to 35 % of the canvas; mean error in steps, then the worst
picture's: the ratio alone with Tukey's weights, cubic, 0.055 and 0.33; differences with a little of the ratio 0.037
and 0.094. A spline with bending energy in place of the polynomial gave the same and took ten times as long. Choosing
between a stiff and a supple fit by what each leaves unexplained brought 0.034 (stiff) to 0.024.
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


Pair = tuple[tuple[slice, slice], tuple[slice, slice]]


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
    shape, steps = sample.ratio.shape, sample.slope
    terms, held = legendre_terms(shape, degree)
    weight = sample.trust / max(float(sample.trust.mean()), 1e-12)
    pairs = _pairs(shape)
    pair_steps = [np.sqrt(steps[one] * steps[other]) for one, other in pairs]
    pair_weight = [
        weight[one] * weight[other] / (weight[one] + weight[other] + 1e-12) / len(_LAGS) for one, other in pairs
    ]
    fixed, target = np.diag(bend * held * weight.sum() + 1e-9), np.zeros(len(held))
    if pins is not None and pinned is not None:
        at_pins = terms[pins.rows, pins.columns]
        fixed, target = fixed + _PIN * at_pins.T @ at_pins, _PIN * at_pins.T @ pinned
    believed, pair_believed, scale = np.ones(shape), [np.ones_like(w) for w in pair_weight], 1.5
    for _ in range(_ROUNDS):
        stiffness = _stiffness(terms, _RATIO_WEIGHT * weight * believed, pairs, pair_weight, pair_believed)
        normal = fixed + np.einsum("yxi,yxj->ij", terms, stiffness)
        field = np.linalg.solve(normal, target + np.einsum("yxi,yx->i", stiffness, sample.ratio))
        left = sample.ratio - np.einsum("yxi,i->yx", terms, field)
        scale *= 0.87
        believed = _tukey(left * steps, max(scale, _STEPS_AT_LAST))
        pair_believed = [
            _tukey((left[one] - left[other]) * s, max(scale, _DIFFERENCES_AT_LAST))
            for (one, other), s in zip(pairs, pair_steps, strict=True)
        ]
    inner = weight * believed
    spread = float((inner * left**2).sum() / max(float(inner.sum()), 1e-12))
    covariance = spread * np.linalg.inv(fixed + np.einsum("yxi,yxj,yx->ij", terms, terms, inner))
    return SmoothField(
        log=sample.ratio - left,
        deviation=np.sqrt((np.einsum("yxi,ij->yxj", terms, covariance) * terms).sum(axis=2)),
        believed=believed,
        cost=_unexplained(_flat(pair_believed), _flat(pair_weight)) + _RATIO_WEIGHT * _unexplained(believed, weight),
    )


def _stiffness(
    terms: Floats, weight: Floats, pairs: list[Pair], pair_weight: list[Floats], pair_believed: list[Floats]
) -> Floats:
    """What the weighted sum of squares presses on each cell, ``(h, w, terms)``: the weights of the ratio, and the
    graph Laplacian of the weighted differences, times the terms."""
    pressed = terms * weight[..., None]
    for (one, other), w, believed in zip(pairs, pair_weight, pair_believed, strict=True):
        pull = (terms[one] - terms[other]) * (w * believed)[..., None]
        pressed[one] += pull
        pressed[other] -= pull
    return pressed


def _unexplained(believed: Floats, weight: Floats) -> float:
    """Mean of Tukey's loss, 0 (all explained) to 1: his weight is ``(1 - u^2)^2``, his loss ``1 - (1 - u^2)^3``."""
    return float((weight * (1 - believed**1.5)).sum() / max(float(weight.sum()), 1e-12))


def legendre_terms(shape: tuple[int, ...], degree: int) -> tuple[Floats, Floats]:
    """Products of Legendre polynomials over the canvas ``(h, w, terms)``, and how much each is held back."""
    h, w = shape
    half = max(h, w) / 2
    along_x = np.polynomial.legendre.legvander((np.arange(w) + 0.5 - w / 2) / half, degree)
    along_y = np.polynomial.legendre.legvander((np.arange(h) + 0.5 - h / 2) / half, degree)
    powers = [(i, j) for i in range(degree + 1) for j in range(degree + 1 - i)]
    terms = np.stack([np.outer(along_y[:, j], along_x[:, i]) for i, j in powers], axis=2)
    order = np.array([i + j for i, j in powers], dtype=np.float64)
    return terms, np.where(order >= 2, (order - 1) ** 4, 0.0)


def _pairs(shape: tuple[int, ...]) -> list[Pair]:
    """Slices of the cells that are compared: along the rows and along the columns, at every distance that fits."""
    every, pairs = slice(None), []
    for lag in _LAGS:
        if lag < shape[1]:
            pairs.append(((every, slice(None, -lag)), (every, slice(lag, None))))
        if lag < shape[0]:
            pairs.append(((slice(None, -lag), every), (slice(lag, None), every)))
    return pairs


def _flat(arrays: list[Floats]) -> Floats:
    return np.concatenate([a.ravel() for a in arrays])


def _tukey(left: Floats, scale: float) -> Floats:
    return np.asarray(np.clip(1 - (left / (3 * scale)) ** 2, 0, None) ** 2 + 1e-6)
