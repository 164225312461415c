"""The light of one check: by a blank, by greys that the painter points at, by a colour chart, by the white of corner
tabs where nothing surer is there, or by fit.

A grey that cannot be used hinders nothing: what is wrong with it is said, and the light is found without it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from core.canvas.flat import Flat
from core.canvas.locate import CanvasFix
from core.errors import ValuesError
from core.photo import Photo
from core.tab_light import tab_anchors
from core.value.light import LightCorrection, correct_light
from core.value.light_anchor import LightAnchor
from core.value.light_card import photo_card, photo_ground
from core.value.light_chart import chart_anchor, find_chart

NO_CHART = (
    "No colour chart was found in the canvas photo. Photograph it whole, upright or lying, flat beside the canvas, at "
    "least a tenth as wide as the photo."
)
_UNUSED = " It was not used."


@dataclass(frozen=True)
class KnownGrey:
    """A place in the canvas photo whose Munsell ``value`` is known: a neutral card, or bare ground of the canvas."""

    x_px: float
    y_px: float
    value: float
    kind: Literal["card", "ground"] = "card"


def light_of(
    photo: Photo,
    fix: CanvasFix,
    canvas: Flat,
    reference: Flat,
    *,
    blank: Flat | None,
    withheld: NDArray[np.bool_],
    greys: Sequence[KnownGrey] = (),
    chart: bool = False,
) -> tuple[LightCorrection, tuple[str, ...]]:
    """The light on ``canvas``, the ``photo`` laid flat by ``fix``; and a sentence about each grey that was not used.

    ``reference``: moved to where the painting has its forms. ``chart``: whether a colour chart is looked for.
    """
    plain = correct_light(canvas, reference, blank=blank, withheld=withheld)
    by_tabs, tab_notes = (
        ((), ()) if plain.level_known or greys or chart else tab_anchors(photo, fix, canvas.size, light=plain)
    )
    if not greys and not chart and not by_tabs:
        return plain, tab_notes
    anchors: list[LightAnchor] = [*by_tabs]
    notes: list[str] = [*tab_notes]
    for grey in greys:
        measure = photo_card if grey.kind == "card" else photo_ground
        try:
            anchors.append(measure(photo, fix, canvas.size, grey.x_px, grey.y_px, grey.value, light=plain))
        except ValuesError as refused:
            notes.append(f"{refused}{_UNUSED}")
    found = find_chart(photo) if chart else None
    if found is not None:
        try:
            anchors.append(chart_anchor(found, photo, fix, canvas.size, light=plain))
        except ValuesError as refused:
            notes.append(f"{refused}{_UNUSED}")
    elif chart:
        notes.append(NO_CHART)
    if not anchors:
        return plain, tuple(notes)
    return correct_light(canvas, reference, blank=blank, withheld=withheld, anchors=anchors), tuple(notes)
