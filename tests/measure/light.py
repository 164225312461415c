"""How well each source takes the light out, in four kinds of light, and whether the stated uncertainty is honest.

    python -m tests.measure.light [cases of each kind] [cache folder] [first seed]

Every case is one painting of known truth, painted stroke by stroke, photographed at 12 megapixels as a JPEG with a cast
of up to 15 %; a card and bare ground lie on it, a card and a chart beside it, each a little off its stated value
(2 % a card, 3 % the ground, 1 % the chart, and five more draws of each with 1.5 % for the chart).
"""

import sys
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from core.blank import blank_flat
from core.errors import PainterError
from core.tone import value_of_linear
from core.value.light import LightCorrection, correct_light
from core.value.light_anchor import LightAnchor
from core.value.light_card import photo_card, photo_ground
from core.value.light_chart import chart_anchor, find_chart
from tests.core.value.lit_cases import PX_PER_MM, SIZE, STATED, Known, LitCase, lit_case
from tests.studio.lamps import KINDS

SOURCES = ("blank", "blank, other place", "card on canvas", "card beside", "chart", "ground", "fit")
DRAWS = 5


def things_of(case: LitCase) -> dict[str, Known]:
    return {"card on canvas": case.card, "card beside": case.beside, "ground": case.ground, "chart": case.chart}


def anchor_of(case: LitCase, source: str, light: LightCorrection) -> LightAnchor:
    """The place as measured in the photo; PainterError with its sentence when it is refused."""
    thing = things_of(case)[source]
    if source == "chart":
        chart = find_chart(case.photo)
        if chart is None:
            raise PainterError("no chart was found")
        return chart_anchor(chart, case.photo, case.fix, SIZE, light=light)
    measure = photo_ground if source == "ground" else photo_card
    return measure(case.photo, case.fix, SIZE, *case.to_px(thing.x_mm, thing.y_mm), thing.value, light=light)


def lights_by(case: LitCase, source: str) -> Iterator[LightCorrection]:
    """The light by one source: for cards, chart and ground as printed, then as if five others lay there, each off its
    stated value by another amount."""
    if source == "blank":
        yield correct_light(case.canvas, case.moved, blank=case.blank, withheld=case.lying)
        return
    if source == "blank, other place":
        flat, _ = blank_flat(case.other_place, case.photo, case.fix, SIZE, PX_PER_MM)
        yield correct_light(case.canvas, case.moved, blank=flat, withheld=case.lying)
        return
    fitted = correct_light(case.canvas, case.moved, withheld=case.lying)
    if source == "fit":
        yield fitted
        return
    anchor = anchor_of(case, source, fitted)
    off = things_of(case)[source].off
    others = np.random.default_rng(case.seed + len(source)).normal(0, STATED[source], DRAWS)
    for other in (off, *others):
        drawn = replace(anchor, log_light=anchor.log_light - off + other)
        yield correct_light(case.canvas, case.moved, anchors=(drawn,), withheld=case.lying)


def error_of(case: LitCase, light: LightCorrection) -> NDArray[np.float64]:
    """Corrected less true Munsell value on the 1 mm grid; NaN where something lies on the painting."""
    canvas = cv2.resize(case.canvas.linear, case.true_value.shape[::-1], interpolation=cv2.INTER_AREA)
    error = value_of_linear(light.apply(canvas)) - case.true_value
    return np.where(canvas.max(axis=2) > 0.97, np.nan, error)


def row_of(case: LitCase, source: str, light: LightCorrection) -> tuple[float, ...]:
    """Mean error in steps (level taken out for a fit), of the level, the stated uncertainty, and the shares of places
    within it and within the map of it."""
    error = error_of(case, light)
    level = float(np.nanmedian(error))
    judged = error - level if source == "fit" else error
    known = np.isfinite(judged)
    within = cv2.resize(light.uncertainty_map, error.shape[::-1], interpolation=cv2.INTER_LINEAR)
    size = np.abs(judged)[known]
    return (
        float(size.mean()),
        level,
        light.uncertainty_steps,
        float((size <= light.uncertainty_steps).mean()),
        float((size <= within[known]).mean()),
    )


def main(seeds: Sequence[int], cache: Path) -> None:
    rows: dict[tuple[str, str], list[tuple[float, ...]]] = defaultdict(list)
    for seed in seeds:
        for kind in KINDS:
            case = lit_case(kind, seed, cache)
            for source in SOURCES:
                try:
                    rows[source, kind].extend(row_of(case, source, light) for light in lights_by(case, source))
                except PainterError as refusal:
                    print(f"{kind} {seed} {source}: refused: {refusal}", flush=True)
    print("source              light         cases   mean   worst  level   ±     within  by place")
    for source in SOURCES:
        for kind in (*KINDS, "all"):
            these = [r for (s, k), found in rows.items() if s == source and kind in (k, "all") for r in found]
            if these:
                table = np.array(these)
                mean = table.mean(axis=0)
                print(
                    f"{source:19s} {kind:12s} {len(these):5d} {mean[0]:8.3f}{table[:, 0].max():7.3f}"
                    f"{np.abs(table[:, 1]).mean():7.3f}{mean[2]:7.3f}{mean[3]:8.0%}{mean[4]:8.0%}"
                )


if __name__ == "__main__":
    given = sys.argv[1:]
    count, first = int(given[0]) if given else 8, int(given[2]) if len(given) > 2 else 0
    main(
        range(first, first + count),
        Path(given[1]) if len(given) > 1 else Path.home() / ".cache" / "easelside-measure",
    )
