"""How the light falls off over a swatch card, from the same printed inks and the bare paper in many places.

The logarithm of every channel is a quadratic of place, the same for all inks, and one level for each ink. The levels
are what the printer made of the greys and are not used for the paint. Places that stray, smeared or shining, lose
their weight (Tukey's, Technometrics 16, 1974, 147).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.paint import swatch_card as card
from core.paint.swatch_find import FlatCard

Floats = NDArray[np.float64]

FULL = 0.985
"""Linear light from which a channel is burnt out."""
_PATCH_INSET_MM, _BARE_INSET_MM = 2.0, 0.8
_ROUNDS, _LEAST_SCALE, _REACH = 12, 0.008, 4.0
_DARKEST = 1e-3
_FEWEST = 24


@dataclass(frozen=True, eq=False)
class CardLight:
    """``terms``: ``(5, 3)`` of the logarithm of the light, per channel; ``levels``: ``(4, 3)`` linear light of the
    greys of ``GREYS`` and of the paper, in the light at the block's middle; NaN where too few can be read.
    ``strayed``: share of the places that do not fit; ``left``: root mean square of what is left of the others, natural
    logarithm. ``paper_burnt``: whether most of the bare paper is."""

    terms: Floats
    levels: Floats
    strayed: float
    left: float
    paper_burnt: bool

    def at(self, rects: list[card.Rect]) -> Floats:
        """``(n, 3)``: the light at the middles of places, in terms of that at the block's middle."""
        return np.asarray(np.exp(_terms(np.array([rect.middle for rect in rects])) @ self.terms))

    @property
    def fall_off(self) -> float:
        """The brightest light on the squares over the darkest."""
        light = self.at([square.rect for square in card.SQUARES]).mean(axis=1)
        return float(light.max() / light.min())


def card_light(flat: FlatCard) -> CardLight | None:
    """The light on a card that was laid flat; None where too little of it can be read."""
    places, kinds, seen, burnt = _places(flat)
    good = ~burnt & (seen.min(axis=1) > _DARKEST)
    paper_burnt = bool(burnt[kinds == len(card.GREYS)].mean() > 0.5)
    if good.sum() < _FEWEST:
        return None
    log = np.log(np.maximum(seen, _DARKEST))
    own = (kinds[:, None] == np.arange(len(card.GREYS) + 1)).astype(np.float64)
    rows = np.concatenate([_terms(places), own], axis=1)
    answer, trust = _fitted(rows, log, good.astype(np.float64))
    left = (log - rows @ answer).mean(axis=1)
    kept = trust > 0.1
    count = len(_terms(places)[0])
    known = np.array([(kept & (kinds == kind)).sum() >= 3 for kind in range(own.shape[1])])
    levels = np.where(known[:, None], np.exp(answer[count:]), np.nan)
    strayed = float((good & ~kept).sum() / good.sum())
    return CardLight(answer[:count], levels, strayed, float(np.sqrt(np.mean(left[kept] ** 2))), paper_burnt)


def _places(flat: FlatCard) -> tuple[Floats, NDArray[np.intp], Floats, NDArray[np.bool_]]:
    """Middles ``(n, 2)``, kinds ``(n,)``, linear light ``(n, 3)`` and whether burnt out, of greys and bare paper."""
    told = [(patch.level, patch.rect.inset(_PATCH_INSET_MM)) for patch in card.patches()]
    told += [(len(card.GREYS), rect.inset(_BARE_INSET_MM)) for rect in card.bare()]
    pixels = [flat.part(rect).reshape(-1, 3) for _, rect in told]
    seen = np.array([middle_mean(each) for each in pixels])
    burnt = np.array([np.mean(each.max(axis=1) >= FULL) > 0.05 for each in pixels])
    kinds = np.array([kind for kind, _ in told], dtype=np.intp)
    return np.array([rect.middle for _, rect in told]), kinds, seen, burnt


def middle_mean(pixels: NDArray[np.float32]) -> Floats:
    """Mean ``(3,)`` of the middle half of pixels ``(n, 3)`` by lightness: steadier than a median, which a photo of 256
    codes holds to one of them."""
    bright = pixels.sum(axis=1)
    low, high = np.quantile(bright, (0.25, 0.75))
    return np.asarray(pixels[(bright >= low) & (bright <= high)].mean(axis=0, dtype=np.float64))


def _terms(places: Floats) -> Floats:
    """The quadratic's terms ``(n, 5)``, each 0 at the block's middle; y in the same unit as x."""
    half = card.WIDTH_MM / 2
    x, y = (places[:, 0] - half) / half, (places[:, 1] - card.HEIGHT_MM / 2) / half
    return np.stack([x, y, x * x, x * y, y * y], axis=1)


def _fitted(rows: Floats, log: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Coefficients ``(m, 3)`` and the weight left to each row; a row strays in all channels at once."""
    held = np.diag([1e-4] * rows.shape[1])
    trust: Floats = weight.copy()
    answer: Floats = np.zeros((rows.shape[1], 3))
    scale = np.inf
    for _ in range(_ROUNDS):
        normal = (rows.T * trust) @ rows + held
        answer = np.asarray(np.linalg.solve(normal, (rows.T * trust) @ log))
        off = np.abs(log - rows @ answer).max(axis=1)
        spread = 1.5 * float(np.median(off[weight > 0]))
        scale = max(min(scale, spread), _LEAST_SCALE)
        trust = weight * np.clip(1.0 - (off / (_REACH * scale)) ** 2, 0, None) ** 2
    return answer, trust
