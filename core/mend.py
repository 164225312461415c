"""The list to mend: what was measured, as sentences, the largest first.

A fault is as severe as it is large beside what is worth mending, which is 1; the questions count as
:mod:`core.mend_weights` says.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from core import words
from core.drawing.drift import Drift, LandmarkDrift
from core.drawing.drift_whole import WholeDrift
from core.edge.stretches import Stretch
from core.mend_weights import USUAL_WEIGHTS, MendWeights
from core.size import Size
from core.temperature.passages import WarmthPassage
from core.value.passages import Passage
from core.value.relations import Relations, Whole

WORTH_MENDING_MM = 1.0
TRUSTED = 0.5
"""Confidence from which a drift is told as a fact."""
_TOLERANCE_STEPS = 0.5
_USUAL_AREA_CM2 = 8.0
_WHOLE_COUNTS = 0.5
_MOST_EDGES, _EDGES_BESIDE_WHOLE = 15, 5
_TOGETHER = 0.03
"""Share of the canvas's diagonal within which edges are mended in one go."""
_BESIDE = 0.05
"""Share of the canvas's diagonal within which a landmark names a passage."""


@dataclass(frozen=True)
class Finding:
    """One thing to mend: the question it answers, where on the canvas (mm), a sentence, and how much it weighs.

    ``passage``: the number of the passage, or of the edge, that it is about, if it is about one.
    """

    question: str
    x_mm: float
    y_mm: float
    say: str
    weight: float
    passage: int | None = None


def to_mend(
    drift: Drift,
    passages: Iterable[Passage],
    size: Size,
    *,
    relations: Relations | None = None,
    edges: Sequence[Stretch] = (),
    edges_whole: str = "",
    warmth: Sequence[WarmthPassage] = (),
    weights: MendWeights = USUAL_WEIGHTS,
) -> tuple[Finding, ...]:
    """All findings, the weightiest first. ``relations``: how the values depart as a whole, which is said once;
    ``edges``: those too hard or too soft, ``edges_whole``: what is said of most of them; ``warmth``: passages too warm
    or too cool."""
    passages = tuple(passages)
    found = [*_whole(drift.whole, size), *_landmarks(drift.landmarks, size)]
    found += _values(passages, drift.landmarks, relations, size)
    found += _edges(edges, edges_whole, drift.landmarks, size)
    found += _warmth(warmth, drift.landmarks, size)
    if relations is not None:
        found += _whole_value(relations, len(passages), size)
    if not drift.landmarks:
        found += _places(drift, size)
    return tuple(sorted(_weighed(found, weights), key=lambda finding: -finding.weight))


def drawing_to_mend(
    whole: WholeDrift, landmarks: Sequence[LandmarkDrift], size: Size, *, weights: MendWeights = USUAL_WEIGHTS
) -> tuple[Finding, ...]:
    """What the drawing as a whole and its landmarks give to mend, in no order."""
    return _weighed((*_whole(whole, size), *_landmarks(landmarks, size)), weights)


def _weighed(found: Iterable[Finding], weights: MendWeights) -> tuple[Finding, ...]:
    return tuple(replace(each, weight=each.weight * weights.of(each.question)) for each in found)


def _whole(whole: WholeDrift, size: Size) -> list[Finding]:
    say = words.whole_drawing(whole.shift_mm, whole.turn_deg, whole.scale, size)
    if not say:
        return []
    half_diagonal = math.hypot(size.width_mm, size.height_mm) / 2
    reach = (
        math.hypot(*whole.shift_mm)
        + abs(math.radians(whole.turn_deg)) * half_diagonal
        + abs(whole.scale - 1) * half_diagonal
    )
    weight = 2 * reach / WORTH_MENDING_MM
    return [Finding("drawing", size.width_mm / 2, size.height_mm / 2, say, weight)]


def _landmarks(landmarks: Sequence[LandmarkDrift], size: Size) -> list[Finding]:
    found = []
    for mark in landmarks:
        length = math.hypot(mark.dx_mm, mark.dy_mm)
        if mark.confidence < TRUSTED or length < WORTH_MENDING_MM:
            continue
        where = words.place(mark.x_mm, mark.y_mm, size)
        say = f"“{mark.name}” ({where}) is painted {words.direction(mark.dx_mm, mark.dy_mm)}."
        found.append(Finding("drawing", mark.x_mm, mark.y_mm, say, length / WORTH_MENDING_MM))
    return found


def _places(drift: Drift, size: Size) -> list[Finding]:
    apart = min(size.width_mm, size.height_mm) / 6
    own, beside = _beside_whole(drift, size)
    found = []
    for x, y, dx, dy in largest_places(own, apart_mm=apart, least_mm=WORTH_MENDING_MM):
        say = f"The form at the {words.place(x, y, size)} is painted {words.direction(dx, dy)}{beside}."
        found.append(Finding("drawing", x, y, say, math.hypot(dx, dy) / WORTH_MENDING_MM))
    return found


def _beside_whole(drift: Drift, size: Size) -> tuple[Drift, str]:
    """The drift without the whole drawing's part, where that is said by itself, and the words for it."""
    whole = drift.whole
    if not words.whole_drawing(whole.shift_mm, whole.turn_deg, whole.scale, size):
        return drift, ""
    rows, columns = np.indices(drift.field_dx_mm.shape) + 0.5
    shared = whole.at(np.stack([columns, rows], axis=-1)).astype(np.float32)
    own = replace(
        drift,
        field_dx_mm=drift.field_dx_mm - shared[..., 0],
        field_dy_mm=drift.field_dy_mm - shared[..., 1],
    )
    return own, " beside the whole"


def largest_places(drift: Drift, *, apart_mm: float, least_mm: float) -> list[tuple[float, float, float, float]]:
    """Where the drift field is largest, for a drawing with no landmarks to name: (x, y, dx, dy) in mm, largest first.

    Each place is at least ``apart_mm`` from the others and its drift at least ``least_mm``.
    """
    length = np.nan_to_num(np.hypot(drift.field_dx_mm, drift.field_dy_mm))
    rows, columns = np.mgrid[0 : length.shape[0], 0 : length.shape[1]]
    places = []
    while length.max() >= least_mm:
        row, column = np.unravel_index(int(length.argmax()), length.shape)
        dx, dy = float(drift.field_dx_mm[row, column]), float(drift.field_dy_mm[row, column])
        places.append((float(column) + 0.5, float(row) + 0.5, dx, dy))
        length[np.hypot(rows - row, columns - column) < apart_mm] = 0.0
    return places


def _whole_value(relations: Relations, passages: int, size: Size) -> list[Finding]:
    say = relations.say(passages)
    if not say:
        return []
    off = (relations.darks_steps, relations.level_steps, relations.lights_steps)
    steps = max(map(abs, off)) if relations.ends_known else max(abs(off[2] - off[0]) / 2, abs(off[1]))
    weight = (
        _WHOLE_COUNTS * steps / _TOLERANCE_STEPS * math.sqrt(size.width_mm * size.height_mm / 100 / _USUAL_AREA_CM2)
    )
    return [Finding("value", size.width_mm / 2, size.height_mm / 2, say, weight)]


def _values(
    passages: Sequence[Passage], landmarks: Sequence[LandmarkDrift], relations: Relations | None, size: Size
) -> list[Finding]:
    found = []
    for part in passages:
        if part.steps_uncertainty >= abs(part.steps):
            continue
        say = passage_words(part, landmarks, relations, size)
        weight = abs(part.beside_whole) / _TOLERANCE_STEPS * math.sqrt(part.area_cm2 / _USUAL_AREA_CM2)
        found.append(Finding("value", part.x_mm, part.y_mm, say, weight, part.number))
    return found


def _edges(faults: Sequence[Stretch], whole: str, landmarks: Sequence[LandmarkDrift], size: Size) -> list[Finding]:
    """What is wrong the same way close together is one thing to mend, told by its heaviest edge."""
    found = []
    for number, *others in _close_together(faults, _TOGETHER * math.hypot(size.width_mm, size.height_mm)):
        heaviest, more = faults[number], len(others)
        say = edge_words(heaviest, landmarks, size)
        if more:
            say += f" {more} more beside it {'is' if more == 1 else 'are'} {heaviest.verdict} as well."
        weight = _of_many([faults[each].weight for each in (number, *others)])
        found.append(Finding("edge", heaviest.canvas_x_mm, heaviest.canvas_y_mm, say, weight, number + 1))
    found = sorted(found, key=lambda each: -each.weight)[: _EDGES_BESIDE_WHOLE if whole else _MOST_EDGES]
    if whole:
        weight = _of_many([each.weight for each in faults])
        found.append(Finding("edge", size.width_mm / 2, size.height_mm / 2, whole, weight))
    return found


def _of_many(weights: Sequence[float]) -> float:
    """What is mended in one go weighs by its root, as an area does; the heaviest comes first."""
    return math.sqrt(weights[0] * sum(weights))


def _close_together(faults: Sequence[Stretch], within_mm: float) -> list[list[int]]:
    """Indices of faults of one verdict that lie within a distance of one another, each group in its order."""
    groups: list[list[int]] = []
    for index, fault in enumerate(faults):
        near = [
            group
            for group in groups
            if any(faults[k].verdict is fault.verdict and faults[k].apart_mm(fault) <= within_mm for k in group)
        ]
        groups = [group for group in groups if group not in near]
        groups.append(sorted([index, *(k for group in near for k in group)]))
    return groups


def _warmth(passages: Sequence[WarmthPassage], landmarks: Sequence[LandmarkDrift], size: Size) -> list[Finding]:
    found = []
    for part in passages:
        where = passage_place(part, landmarks, size)
        area = words.area_within(part.area_cm2, part.area_uncertainty_cm2)
        say = f"{where[:1].upper()}{where[1:]}, {area}: {part.say()}."
        weight = abs(part.amount) / part.words.touch * math.sqrt(part.area_cm2 / _USUAL_AREA_CM2)
        found.append(Finding("temperature", part.x_mm, part.y_mm, say, weight, part.number))
    return found


def edge_words(part: Stretch, landmarks: Sequence[LandmarkDrift], size: Size) -> str:
    """An edge as one line: ``Left, 3.5 cm of edge too soft: 2.4 ± 0.4 mm, hard in the reference (0.4 mm).``"""
    where = _place(part.canvas_x_mm, part.canvas_y_mm, part.away_mm, landmarks, size)
    return f"{where[:1].upper()}{where[1:]}, {words.length(part.length_mm)} of edge {part.say()}."


def passage_words(part: Passage, landmarks: Sequence[LandmarkDrift], relations: Relations | None, size: Size) -> str:
    """A passage as one line of the list, such as ``Lower left, 14 ± 2 cm²: 1.2 ± 0.2 steps too dark.``"""
    where = passage_place(part, landmarks, size)
    area = words.area_within(part.area_cm2, part.area_uncertainty_cm2)
    fault = words.value_fault_within(part.steps, part.steps_uncertainty)
    return f"{where[:1].upper()}{where[1:]}, {area}: {fault}{_relation(part, relations)}."


def _relation(part: Passage, relations: Relations | None) -> str:
    """What is to be said of it beside its own error: against the whole, or against what lies round it."""
    if relations is not None and relations.whole is not Whole.RIGHT:
        return f", {words.value_fault(part.beside_whole)} beside the whole"
    if part.holds:
        return "; what lies round it is off by as much, so it is right in its relations"
    if abs(part.surround_steps) >= _TOLERANCE_STEPS:
        return f", {words.value_fault(part.against_surround)} against what lies round it"
    return ""


def passage_place(part: Passage | WarmthPassage, landmarks: Sequence[LandmarkDrift], size: Size) -> str:
    """Where a passage lies: ``lower left``, and with a landmark in it or close by ``lower left, beside “handle”``."""
    return _place(part.x_mm, part.y_mm, part.away_mm, landmarks, size)


def _place(
    x_mm: float,
    y_mm: float,
    away_mm: Callable[[float, float], float],
    landmarks: Sequence[LandmarkDrift],
    size: Size,
) -> str:
    where = words.place(x_mm, y_mm, size)
    near = _BESIDE * math.hypot(size.width_mm, size.height_mm)
    best, name = near, ""
    for mark in landmarks:
        painted = (mark.x_mm, mark.y_mm)
        if mark.confidence >= TRUSTED and math.isfinite(mark.dx_mm + mark.dy_mm):
            painted = (mark.x_mm + mark.dx_mm, mark.y_mm + mark.dy_mm)
        away = away_mm(*painted)
        if away < best:
            best, name = away, mark.name
    return f"{where}, {'at' if best <= 0 else 'beside'} “{name}”" if name else where
