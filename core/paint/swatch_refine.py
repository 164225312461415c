"""A stored tube brought to the painter's own, from the squares of a swatch card.

A camera has three channels, and a tube 72 numbers: of all tubes that would look so, the likeliest beside the stored one
is taken (maximum a posteriori, by least squares), with the camera's own faults among the unknowns.

Measured on simulated cards (``python -m tests.measure.swatches 48 100``, which nothing was tuned on): 46 tubes that
differ from the stored ones by strength, hue, scattering or pigment, weighed to 5 %, under unknown surfaces, by cameras,
lights and printers at random. Mean CIEDE2000 of further mixes, with white 1:1, 1:5 and 1:20 and with other tubes:

- the stored tube as it is: 4.18;
- smooth curves over the wavelengths, which is what is here: 2.11 (with white 2.12, with other tubes 2.11), nine tubes
  in ten within 3.4, and 85 % of them nearer than before;
- the 6 or 10 main shapes of all stored tubes' K and S instead: 2.18, and 2.32 when they are let go twice as far;
- smooth curves, the camera's matrix not among the unknowns: 2.46.

It is the camera that limits: colours read without fault give 1.63, and 1.29 when they are known to be so. With the
sensor of three layers, whose matrix is far from a standard observer's, it is 3.96, with the one of filters 1.84.
Mixtures with white lie within twice the uncertainty told in 93 of 100.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.colorimetry import LUMINANCE, delta_e_2000, lab
from core.errors import PaintError
from core.paint import swatch_card as card
from core.paint.paint import mixture
from core.paint.spectrum import linear_rgb
from core.paint.swatch_model import (
    CONTRAST,
    CONTRAST_BY_CARD,
    STRENGTH,
    UNKNOWN_STRENGTH,
    UNKNOWNS,
    CardModel,
    mixed,
    smooth_changes,
)
from core.paint.swatch_read import Readings
from core.paint.tubes import Tube, tinting_strength

Floats = NDArray[np.float64]

FURTHER_SHARES = (1 / 2, 1 / 6, 1 / 21)
"""Of the tube in mixtures with white for which the uncertainty is told."""
_CAMERA_E, _FLOOR, _MODEL_E = 1.0, 0.008, 0.6
"""CIEDE2000 by which a camera strays from its model; linear light; CIEDE2000 by which paints stray from theirs."""
_GREYS_COUNT = 0.4
_PRINTED_BLACK = 0.05
_UNLIKELY, _CONTRASTY = 16.9, 0.16
"""Nine squares of normal deviates add to the first once in twenty; logarithm of a camera's contrast that is told."""
_MOST_TRIES = 60


@dataclass(frozen=True, eq=False)
class Refined:
    """``tube``: as the painter has it, ``own``, under the stored one's name. ``before``, ``after``: CIEDE2000 between
    what was read of each square, by its name, and what the stored tube and the refined one give.
    ``uncertainty``: CIEDE2000 by which mixtures with white are expected to be off, in the mean. ``strength``: tinting
    strength in terms of the stored tube's; NaN where that is not known. ``notes``: sentences for the painter."""

    tube: Tube
    before: Mapping[str, float]
    after: Mapping[str, float]
    uncertainty: float
    strength: float
    notes: tuple[str, ...]


def share_of(tube_parts: float, white_parts: float) -> float:
    """The share of the tube in what was weighed. Raises PaintError unless both are above 0."""
    if not (np.isfinite(tube_parts) and np.isfinite(white_parts) and tube_parts > 0 and white_parts > 0):
        raise PaintError("What was weighed of tube and of white is above 0. Correct the weights.")
    return tube_parts / (tube_parts + white_parts)


def refine(
    tube: Tube,
    white: Tube,
    readings: Readings,
    *,
    weighed: Mapping[str, float] | None = None,
    changes: Floats | None = None,
) -> Refined:
    """``tube`` as the squares show it, ``white`` the one that it was mixed with. ``weighed``: the share of the tube in
    the squares, by their names, where other parts were weighed than the card says (:func:`share_of`). ``changes``:
    other curves than :func:`core.paint.swatch_model.smooth_changes`.

    Raises PaintError where the photo is not good enough, the tube is a white, or a share is not between 0 and 1.
    """
    _check(tube, white, readings)
    squares = (card.PURE, card.STRONG, card.WEAK)
    shares = (1.0, *_shares(weighed or {}))
    base = replace(tube.paint, strength_known=True)
    if changes is None:
        changes = smooth_changes(STRENGTH if tube.paint.strength_known else UNKNOWN_STRENGTH)
    white_light = linear_rgb(mixture({"white": white.paint}, {"white": 1.0}).thick())
    contrast, contrast_sigma = _contrast(readings, float(white_light @ LUMINANCE))
    model = CardModel(base, white.paint, changes, shares, contrast, contrast_sigma)
    swatches = [readings.swatch(square.name) for square in squares]
    seen = np.array([each.linear for each in swatches]) * white_light
    sigma = np.array([each.sigma for each in swatches]) * white_light
    answer, jacobian, unlikely = _fitted(model, seen, sigma)
    paint = model.tube(answer)
    refined = replace(tube, paint=paint, own=True, basis=f"{tube.basis} Refined by a swatch card of the painter’s own.")
    before, after = (
        {
            square.name: float(delta_e_2000(lab(mixed(each, white.paint, share)), lab(light)))
            for square, share, light in zip(squares, shares, seen, strict=True)
        }
        for each in (base, paint)
    )
    strength = tinting_strength(refined) / tinting_strength(tube)
    notes = _notes(tube, after, strength, unlikely, contrast)
    return Refined(refined, before, after, _uncertainty(model, answer, jacobian), strength, notes)


def _check(tube: Tube, white: Tube, readings: Readings) -> None:
    if not readings.good:
        raise PaintError(readings.problems[0])
    if tube.white or tube.name == white.name:
        raise PaintError("A white cannot be told from the white beside it. Choose a tube with a colour of its own.")
    if not white.white:
        raise PaintError(f"“{white.name}” is not a white. Choose the white that the tints were mixed with.")


def _shares(weighed: Mapping[str, float]) -> tuple[float, float]:
    told = {card.STRONG.name: card.STRONG.share, card.WEAK.name: card.WEAK.share}
    strangers = sorted(set(weighed) - set(told))
    if strangers:
        raise PaintError(f"No tint on the card is called “{strangers[0]}”. They are {' and '.join(told)}.")
    told |= weighed
    if not all(np.isfinite(share) and 0 < share < 1 for share in told.values()):
        raise PaintError("The share of the tube in a tint is between 0 and 1. Correct the weights.")
    return told[card.STRONG.name], told[card.WEAK.name]


def _contrast(readings: Readings, white: float) -> tuple[float, float]:
    """Logarithm of the camera's contrast and its standard deviation: by a grey card, or a little by the greys, since
    what a printer makes of them is not known."""
    if readings.grey_card is not None and readings.grey_card_shown is not None:
        return float(np.log(np.log(readings.grey_card_shown) / np.log(readings.grey_card / white))), CONTRAST_BY_CARD
    meant = _PRINTED_BLACK + (1 - _PRINTED_BLACK) * np.array(card.GREYS)
    usable = np.isfinite(readings.greys) & (readings.greys > 0) & (readings.greys < 0.95)
    if not usable.any():
        return 0.0, CONTRAST
    power = float(np.mean(np.log(readings.greys[usable]) / np.log(meant[usable])))
    return _GREYS_COUNT * float(np.log(power)), CONTRAST


def _fitted(model: CardModel, seen: Floats, sigma: Floats) -> tuple[Floats, Floats, float]:
    """The likeliest unknowns ``(n,)``, the slopes of all residuals there, and the sum of their squares: about one for
    each of the nine channels read, where all is as it is thought to be."""
    from scipy.optimize import least_squares

    wanted = lab(seen)
    whiten = [_whitening(light, spread) for light, spread in zip(seen, sigma, strict=True)]

    def residuals(unknowns: Floats) -> Floats:
        off = lab(model.shown(unknowns)) - wanted
        return np.concatenate([*(matrix @ each for matrix, each in zip(whiten, off, strict=True)), unknowns])

    start = np.zeros(model.count + UNKNOWNS)
    fit = least_squares(residuals, start, x_scale="jac", max_nfev=_MOST_TRIES)
    return np.asarray(fit.x), np.asarray(fit.jac), 2.0 * float(fit.cost)


def _whitening(light: Floats, sigma: Floats) -> Floats:
    """``(3, 3)``: takes a difference in CIELAB from ``light`` to standard deviations of what is read."""
    at, metric = lab(light), _metric(light)
    slopes = np.stack([(lab(light + step) - at) / 1e-4 for step in 1e-4 * np.eye(3)], axis=1)
    spread = metric @ slopes
    cover = spread @ np.diag(sigma**2 + _FLOOR**2) @ spread.T + _CAMERA_E**2 * np.eye(3)
    return np.asarray(np.linalg.solve(np.linalg.cholesky(cover), metric))


def _metric(light: Floats) -> Floats:
    """``(3, 3)``: CIELAB differences as CIEDE2000 weighs lightness, chroma and hue about a colour, without its terms
    for grey and blue."""
    l_star, a, b = lab(light)
    chroma, hue = np.hypot(a, b), np.arctan2(b, a)
    s_l = 1 + 0.015 * (l_star - 50) ** 2 / np.sqrt(20 + (l_star - 50) ** 2)
    turn = np.array([[1, 0, 0], [0, np.cos(hue), np.sin(hue)], [0, -np.sin(hue), np.cos(hue)]])
    return np.asarray(turn / np.array([s_l, 1 + 0.045 * chroma, 1 + 0.015 * chroma])[:, None])


def _uncertainty(model: CardModel, answer: Floats, jacobian: Floats) -> float:
    """CIEDE2000 expected in further mixtures with white, from how the residuals hold the tube's unknowns."""
    cover = np.linalg.inv(jacobian.T @ jacobian)[: model.count, : model.count]
    off = []
    for share in FURTHER_SHARES:
        light = mixed(model.tube(answer), model.white, share)
        at = lab(light)
        steps = 0.02 * np.eye(len(answer))[: model.count]
        slopes = np.stack(
            [(lab(mixed(model.tube(answer + step), model.white, share)) - at) / 0.02 for step in steps], 1
        )
        spread = _metric(np.maximum(light, 1e-3)) @ slopes
        off.append(float(np.trace(spread @ cover @ spread.T)))
    return float(np.sqrt(np.mean(off) + _MODEL_E**2))


def _notes(
    tube: Tube, after: Mapping[str, float], strength: float, unlikely: float, contrast: float
) -> tuple[str, ...]:
    told = []
    if np.isfinite(strength) and not 1 / 1.15 <= strength <= 1.15:
        than = f"{strength:.1f} times as strong as" if strength > 1 else f"weaker, {strength:.0%} of the strength of,"
        told.append(f"This tube is {than} the stored {tube.name}.")
    if unlikely > _UNLIKELY:
        worst = max(after, key=lambda name: after[name])
        told.append(
            f"The squares do not agree with one paint like {tube.name}; “{worst}” is farthest off. Check the parts "
            "that were weighed, and that the right tube is chosen."
        )
    if abs(contrast) > _CONTRASTY:
        told.append(
            "The camera seems to change the contrast. Switch its effects off, or lay a grey card on the card and give "
            "its figure."
        )
    return tuple(told)
