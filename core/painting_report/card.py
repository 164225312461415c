"""The colour card in the final photo: which corrected colours it gives, and how sure they are."""

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import ValuesError
from core.painting_report.card_fit import Fit, Way, differences, fit, left_out
from core.painting_report.card_light import NOT_TOLD, Evenness, evenness
from core.photo import Photo
from core.value.light_chart import NEUTRALS, REFLECTANCE, Chart, find_chart
from core.value.light_grid import FULL

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

BEFORE = np.array(
    [
        [0.17303, 0.08211, 0.05673],
        [0.56833, 0.29270, 0.21836],
        [0.10371, 0.19588, 0.33124],
        [0.10159, 0.14892, 0.05188],
        [0.22162, 0.21584, 0.43461],
        [0.10804, 0.51437, 0.41264],
        [0.74738, 0.20064, 0.02809],
        [0.05760, 0.10516, 0.40296],
        [0.56679, 0.08425, 0.11970],
        [0.11101, 0.04231, 0.14292],
        [0.34542, 0.50873, 0.04945],
        [0.79460, 0.35944, 0.02053],
        [0.01712, 0.05022, 0.29220],
        [0.05595, 0.30021, 0.06871],
        [0.45588, 0.03034, 0.04086],
        [0.85734, 0.56759, 0.00686],
        [0.53353, 0.08861, 0.30751],
        [-0.03741, 0.24699, 0.40041],
        [0.91262, 0.91494, 0.89367],
        [0.57982, 0.59200, 0.59329],
        [0.35491, 0.36545, 0.36755],
        [0.19007, 0.19187, 0.19308],
        [0.08529, 0.08888, 0.09258],
        [0.03032, 0.03114, 0.03275],
    ]
)
"""Linear sRGB primaries, D65, of 'ColorChecker24 - Before November 2014' as colour-science 0.4.7 has it (ICC D50),
adapted by its Bradford transform, in the order of :data:`core.value.light_chart.REFLECTANCE`, which is the edition
after."""

PATCHES = (
    "dark skin", "light skin", "blue sky", "foliage", "blue flower", "bluish green",
    "orange", "purplish blue", "moderate red", "purple", "yellow green", "orange yellow",
    "blue", "green", "red", "yellow", "magenta", "cyan",
    "white", "light grey", "grey", "middle grey", "dark grey", "black",
)  # fmt: skip

_FLOOR, _SHOWN = 0.004, 0.05
"""A channel under the first, of a colour over the second, has run out of the file's colours."""
_MATRIX_NEARER = 0.8
"""The matrix is taken where its left-out patches are off by less than this share of the other way's."""
_TOLD_APART = 0.1
"""CIEDE2000: by less the two editions are not told apart."""
_FEWEST, _FEWEST_GREYS = 14, 4
_IN_SHADOW = 3.5
"""Mean CIEDE2000 of left-out patches from which a card is in shadow that :mod:`core.value.light_chart` takes for
shaded. In 28 simulated photos of even light or light that falls off slowly it was 0.7 to 3.4; where two fifths of
the light were taken from half the card, 3.8 to 7.1."""
_TOO_FEW = (
    "Too few patches of the colour card can be used: the others are burnt out, too dark, or stronger than the photo "
    "holds. Photograph it again with less light on it or a shorter exposure."
)


class Edition(StrEnum):
    """The chart's paints were changed in November 2014."""

    BEFORE_2014 = "before November 2014"
    AFTER_2014 = "after November 2014"

    @property
    def colours(self) -> Floats:
        """Linear light ``(24, 3)`` in the sRGB primaries under D65, row by row from dark skin to black."""
        return BEFORE if self is Edition.BEFORE_2014 else REFLECTANCE


@dataclass(frozen=True)
class Off:
    """How far patches are off, CIEDE2000, and which is the worst."""

    mean: float
    worst: float
    patch: str

    def say(self) -> str:
        return f"{self.mean:.1f} in the mean, {self.worst:.1f} at worst ({self.patch})"


@dataclass(frozen=True, eq=False)
class CardCorrection:
    """Colours by a card in the photo.

    ``before``: the patches as shot; ``fitted``: once corrected by themselves; ``left_out``: each by all the others,
    which is how far a paint may be off. ``used``: ``(24,)``. ``light``: None where no canvas was told. ``notes``: whole
    sentences.
    """

    edition: Edition
    made_by: Fit
    before: Off
    fitted: Off
    left_out: Off
    used: Mask
    outline_px: Floats
    light: Evenness | None
    notes: tuple[str, ...]

    @property
    def way(self) -> Way:
        return self.made_by.way

    def of(self, light: ArrayLike) -> Floats:
        """Linear light ``(…, 3)`` in the sRGB primaries under D65, whites 1, of the photo's; not clipped."""
        return self.made_by.of(light)

    def say(self) -> tuple[str, ...]:
        """Whole sentences: how it was corrected and how sure it is."""
        return (
            f"The colours are corrected by the {int(self.used.sum())} patches of a colour card that could be used, "
            f"by {_WAYS[self.way]}, after the camera's contrast was straightened by the card's greys.",
            f"CIEDE2000 of the patches as shot: {self.before.say()}. Corrected: {self.fitted.say()}. Each patch "
            f"corrected by all the others: {self.left_out.say()}; expect so much of the paints.",
            *self.notes,
        )


_WAYS = {Way.MATRIX: "a 3 × 3 matrix", Way.ROOTS: "root-polynomials of degree 2"}


def card_correction(
    photo: Photo, *, edition: Edition | None = None, canvas_px: ArrayLike | None = None
) -> CardCorrection | None:
    """By the card in ``photo``; None where there is none to be seen. See :func:`correction_by`."""
    chart = find_chart(photo)
    return None if chart is None else correction_by(chart, edition=edition, canvas_px=canvas_px)


def correction_by(
    chart: Chart, *, edition: Edition | None = None, canvas_px: ArrayLike | None = None
) -> CardCorrection:
    """``edition``: None to tell it by the patches. ``canvas_px``: ``(4, 2)``, the canvas's corners in the photo, to say
    how even the light is over it. Raises ValuesError with a sentence where the card cannot be used."""
    if chart.problem and not np.isfinite(chart.sigma):
        raise ValuesError(chart.problem)
    burnt, beyond = chart.measured.max(axis=1) >= FULL, _beyond(chart.measured)
    used = ~burnt & ~beyond
    if used.sum() < _FEWEST or used[NEUTRALS].sum() < _FEWEST_GREYS:
        raise ValuesError(_TOO_FEW)
    read = chart.measured[used]
    off = {each: _off_by_way(read, each.colours[used], used) for each in ((edition,) if edition else tuple(Edition))}
    chosen, which = _edition(off) if edition is None else (edition, f"The card is taken as made {edition}.")
    by_way, wanted = off[chosen], chosen.colours[used]
    matrix_nearer = by_way[Way.MATRIX].mean() < _MATRIX_NEARER * by_way[Way.ROOTS].mean()
    way = Way.MATRIX if matrix_nearer else Way.ROOTS
    if chart.problem and by_way[way].mean() > _IN_SHADOW:
        raise ValuesError(chart.problem)
    made_by = fit(read, wanted, way, greys=_greys(used))
    light = None if canvas_px is None else evenness(read, wanted, chart.patches_px[used], canvas_px)
    return CardCorrection(
        edition=chosen,
        made_by=made_by,
        before=_off(differences(read, wanted), used),
        fitted=_off(differences(made_by.of(read), wanted), used),
        left_out=_off(by_way[way], used),
        used=used,
        outline_px=chart.outline_px,
        light=light,
        notes=(which, *_excluded(burnt, beyond), NOT_TOLD if light is None else light.say()),
    )


def _beyond(measured: Floats) -> Mask:
    """Patches of which a channel has run out of what the photo's file holds."""
    return np.asarray((measured.min(axis=1) < _FLOOR) & (measured.max(axis=1) > _SHOWN))


def _greys(used: Mask) -> Mask:
    """Which of those used are greys."""
    greys = np.zeros(24, bool)
    greys[NEUTRALS] = True
    return greys[used]


def _off_by_way(read: Floats, wanted: Floats, used: Mask) -> dict[Way, Floats]:
    return {way: left_out(read, wanted, way, greys=_greys(used)) for way in Way}


def _edition(off: dict[Edition, dict[Way, Floats]]) -> tuple[Edition, str]:
    """The edition whose left-out patches are nearer, by both ways together, and a sentence."""
    total = {each: float(np.mean([part.mean() for part in ways.values()])) for each, ways in off.items()}
    apart = total[Edition.BEFORE_2014] - total[Edition.AFTER_2014]
    if abs(apart) < _TOLD_APART:
        return Edition.AFTER_2014, (
            "Whether the card was made before or after November 2014 cannot be told by its patches; it is taken as "
            "made after. Choose it by hand if you know."
        )
    chosen = Edition.AFTER_2014 if apart > 0 else Edition.BEFORE_2014
    return chosen, f"By its patches the card was made {chosen}. Choose it by hand if you know otherwise."


def _off(each: Floats, used: Mask) -> Off:
    worst = int(np.argmax(each))
    return Off(float(each.mean()), float(each[worst]), PATCHES[int(np.flatnonzero(used)[worst])])


def _excluded(burnt: Mask, beyond: Mask) -> tuple[str, ...]:
    told = []
    for which, why in ((burnt, "burnt out"), (beyond & ~burnt, "stronger than the photo's file can hold")):
        names = [PATCHES[at] for at in np.flatnonzero(which)]
        if names:
            told.append(f"Left out of the card, since {why}: {', '.join(names)}.")
    return tuple(told)
