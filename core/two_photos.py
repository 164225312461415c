"""Two photos of one painting, and what was painted between them: later minus earlier, in value steps.

Each is laid flat by its own corners. To bring one onto the other by what is painted was tried and given up: on
paintings whose forms had not moved it took the error where nothing was painted from 0.019 to 0.012 step, but on the
demo painting, whose forms were put right between the sittings, it followed them by 6 and 37 mm and made false areas of
their edges.

Measured on known truth (``python -m tests.measure.two_photos 8 40``, seeds on which nothing was tuned): pairs of
photos at 3 megapixels from two places in two kinds of light, corners a pixel out, with glare. Of 32 passages of 8 cm2
and 0.8 step or more between them all were found and nothing false, their steps within 0.06 on average, 84 % within
0.15 and 97 % within 0.3; where nothing was painted the error is 0.023 step, at worst 0.047. Without the reference as
many are found, but their steps are off by 0.29: those of a photo that is too dark are smaller. On the demo painting
the passages that were put right between its second and third sitting are the three that are told. At 12 megapixels it
takes 1.2 s of processor time, and reading the three photos 0.3 s.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core import words
from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat, reference_flat, supported_px_per_mm
from core.photo import Photo
from core.size import Size
from core.tone import value_of_linear
from core.value.areas import ValueArea
from core.value.compare import compare_values
from core.value.glare import find_glare
from core.value.light import LightCorrection, correct_light
from core.value.light_between import light_between
from core.value.light_grid import EDGE_MM

Progress = Callable[[float, str], object]

CHANGED_STEPS = 0.5
"""From how many value steps on a passage is called changed."""
_AREA_STEPS = 0.2
"""Nine in ten of how far a passage's steps are off beside the light; found on known truth."""
_PLACE_STEPS = 0.05
"""What corners that are a fraction of a millimetre out bring, nine places in ten; found on known truth."""
_MUCH_UNSURE, _WORTH_TELLING = 0.3, 0.03
_LEVEL = "A change of the whole, as by a glaze over everything, cannot be told from another exposure, and is not shown."
_PX_PER_MM, _LEAST_PX, _MOST_PIXELS = 2.0, 800, 2_000_000


@dataclass(frozen=True)
class CanvasShot:
    """A photo of the canvas with the canvas's corners in it, ``(4, 2)`` photo px, and its lens."""

    photo: Photo
    corners: tuple[tuple[float, float], ...]
    lens_k1: float = 0.0


@dataclass(frozen=True, eq=False)
class Changed:
    """What the later photo shows otherwise than the earlier one.

    ``difference``: ``(H, W)`` float32 Munsell steps at ``px_per_mm``, later minus earlier (negative: darker now), NaN
    where it cannot be told. ``areas``: the heaviest first. ``uncertainty_steps``: nine places in ten lie within plus or
    minus this where nothing was painted. ``notes``: whole sentences.
    """

    difference: NDArray[np.float32]
    px_per_mm: float
    size: Size
    areas: tuple[ValueArea, ...]
    uncertainty_steps: float
    notes: tuple[str, ...] = ()

    def say(self, area: ValueArea) -> str:
        """Such as ``Lower left, 14 cm²: 1.2 ± 0.2 steps darker.``"""
        where = words.place(area.x_mm, area.y_mm, self.size)
        within = float(np.hypot(self.uncertainty_steps, _AREA_STEPS))
        by = f"{abs(area.steps):.1f} ± {within:.1f} steps {'darker' if area.steps < 0 else 'lighter'}"
        return f"{where[:1].upper()}{where[1:]}, {words.area(area.area_cm2)}: {by}."


def what_changed(
    earlier: CanvasShot,
    later: CanvasShot,
    size: Size,
    *,
    reference: Photo | None = None,
    crop: tuple[tuple[float, float], ...] | None = None,
    progress: Progress = lambda share, say: None,
) -> Changed:
    """Compare two photos of a canvas of ``size``.

    ``reference`` and its ``crop`` tell how light the paint of the earlier photo is, so that steps are those of paint
    whatever the exposure; without it they are those of the earlier photo as it is. ``progress(share, say)`` is called
    as it goes; what it raises stops the work. Raises CanvasError for corners that cannot be a canvas.
    """
    progress(0.0, "Laying the earlier photo flat")
    px_per_mm = _px_per_mm((earlier, later), size)
    first = lay_flat(earlier.photo, earlier.corners, size, k1=earlier.lens_k1, px_per_mm=px_per_mm)
    progress(0.2, "Laying the later photo flat")
    second = lay_flat(later.photo, later.corners, size, k1=later.lens_k1, px_per_mm=px_per_mm)
    if reference is not None:
        progress(0.4, "Taking the light out")
        wanted, _ = reference_flat(reference, size, px_per_mm, crop=crop)
        first = replace(first, linear=correct_light(first, wanted).apply(first.linear))
    progress(0.6, "Bringing the light of the two together")
    hidden = find_glare(second, first).withheld | find_glare(first, second).withheld | unseen(first, second)
    light = light_between(first, second, withheld=hidden)
    progress(0.9, "Looking for what changed")
    return _compared(first, second, light, hidden)


def _compared(first: Flat, second: Flat, light: LightCorrection, hidden: NDArray[np.bool_]) -> Changed:
    uncertainty = float(np.hypot(light.uncertainty_steps, _PLACE_STEPS))
    found = compare_values(
        value_of_linear(first.linear),
        value_of_linear(light.apply(second.linear)),
        px_per_mm=first.px_per_mm,
        withheld=hidden,
        uncertainty_steps=uncertainty,
        tolerance=CHANGED_STEPS,
        level_known=False,
    )
    return Changed(
        found.difference,
        first.px_per_mm,
        first.size,
        found.areas,
        uncertainty,
        notes=_notes(uncertainty, float(hidden.mean())),
    )


def _notes(uncertainty: float, hidden_share: float) -> tuple[str, ...]:
    sure = f"Where nothing was painted the two agree within {max(0.1, uncertainty):.1f} step, nine places in ten."
    if uncertainty > _MUCH_UNSURE:
        sure = (
            f"So much was painted in between that the light of the two is brought together only within "
            f"{uncertainty:.1f} step; what changed by less may be the light."
        )
    hidden = f"{words.as_share(hidden_share)} of the canvas is hidden by glare or burnt out."
    return (sure, *((hidden,) if hidden_share > _WORTH_TELLING else ()), _LEVEL)


def _px_per_mm(shots: tuple[CanvasShot, CanvasShot], size: Size) -> float:
    """As fine as is worth comparing, and as both photos support."""
    supported = min(
        supported_px_per_mm(shot.corners, size, shot.lens_k1, shot.photo.width, shot.photo.height) for shot in shots
    )
    wanted = max(_PX_PER_MM, _LEAST_PX / max(size.width_mm, size.height_mm))
    return min(supported, wanted, float(np.sqrt(_MOST_PIXELS / (size.width_mm * size.height_mm))))


def unseen(first: Flat, second: Flat) -> NDArray[np.bool_]:
    """What lies outside one of the photos, and the rim, where what stands behind the canvas may show."""
    hidden = np.zeros(first.linear.shape[:2], bool)
    for seen in (first.seen, second.seen):
        if seen is not None:
            hidden |= ~seen
    rim = max(1, round(EDGE_MM * first.px_per_mm))
    hidden[:rim] = hidden[-rim:] = True
    hidden[:, :rim] = hidden[:, -rim:] = True
    return hidden
