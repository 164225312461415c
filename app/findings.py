"""The findings of a check as the panels tell them, read from its stored ``check.json`` (schema 1)."""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from core import words
from core.drawing.drift_whole import WholeDrift
from core.mend_weights import USUAL_WEIGHTS, MendWeights
from core.size import Size

if TYPE_CHECKING:
    from core.check import CheckResult
    from core.drawing.by_hand import Hand

SURE, FAIR = words.SURE, words.FAIR


@dataclass(frozen=True)
class Landmark:
    """A landmark and how far it has strayed; None where it could not be measured.

    ``by_hand``: the painter placed it. ``own_mm``: what is left of the drift without the whole drawing's part.
    """

    number: int
    name: str
    x_mm: float
    y_mm: float
    dx_mm: float | None
    dy_mm: float | None
    confidence: float
    by_hand: bool = False
    own_mm: tuple[float, float] | None = None

    @property
    def is_told(self) -> bool:
        return self.dx_mm is not None and self.dy_mm is not None and self.confidence >= FAIR

    @property
    def across(self) -> str:
        """Such as ``2.1 mm left``: where it is painted, seen from where it should be."""
        return words.across(self.dx_mm or 0.0) if self.is_told else "–"

    @property
    def down(self) -> str:
        return words.down(self.dy_mm or 0.0) if self.is_told else "–"

    @property
    def how_sure(self) -> str:
        if not self.is_told:
            return "not measured"
        return words.how_sure(self.confidence)

    @property
    def say(self) -> str:
        """Where it is painted and how sure that is, such as ``2.1 mm left · sure, 92 %``."""
        if not self.is_told:
            return "not measured"
        sure = "placed by hand" if self.by_hand else f"{self.how_sure}, {words.per_cent(self.confidence)}"
        return f"{words.offset(self.dx_mm or 0.0, self.dy_mm or 0.0)} · {sure}"

    @property
    def length_mm(self) -> float:
        return math.hypot(self.dx_mm or 0.0, self.dy_mm or 0.0) if self.is_told else 0.0


@dataclass(frozen=True)
class Area:
    """A passage too light or too dark; of a check kept by an older Easelside, one of its areas."""

    number: int
    x_mm: float
    y_mm: float
    area_cm2: float
    steps: float
    say: str


@dataclass(frozen=True)
class Mend:
    """One line of the list to mend. ``severity``: what it weighs where its question counts once."""

    number: int
    question: str
    x_mm: float
    y_mm: float
    say: str
    severity: float = 1.0


@dataclass(frozen=True)
class Findings:
    """One check, in words.

    ``whole``: the sentence about the drawing as a whole, empty when it sits well, None when that could not be told;
    ``whole_means``: what that comes to. ``hand_since``: landmarks were placed by hand, or taken from it, since the
    check: its values and its printed sheet do not know of it yet. ``value_whole``: the sentence about the values as a
    whole, empty when they hold or the check is older than that sentence.
    """

    size: Size
    made_at: datetime | None = None
    is_current: bool = True
    whole: str | None = None
    whole_means: str = ""
    hand_since: bool = False
    landmarks: tuple[Landmark, ...] = ()
    areas: tuple[Area, ...] = ()
    mend: tuple[Mend, ...] = ()
    share_within: float | None = None
    value_uncertainty: float | None = None
    canvas_uncertainty_mm: float | None = None
    certainty: tuple[str, ...] = field(default=())
    value_whole: str = ""

    @property
    def told_landmarks(self) -> tuple[Landmark, ...]:
        """Those that could be measured, the furthest strayed first."""
        return tuple(mark for mark in self.landmarks if mark.is_told)

    @property
    def untold_landmarks(self) -> tuple[Landmark, ...]:
        return tuple(mark for mark in self.landmarks if not mark.is_told)

    def mend_by(self, weights: MendWeights) -> tuple[Mend, ...]:
        """The list to mend as the questions count now, numbered anew."""
        ordered = sorted(self.mend, key=lambda each: -each.severity * weights.of(each.question))
        return tuple(replace(each, number=number) for number, each in enumerate(ordered, start=1))

    @property
    def within(self) -> str:
        """How much of the canvas has the right value, in a sentence."""
        if self.share_within is None:
            return "The values could not be compared."
        return f"{words.as_share(self.share_within)} of the canvas is within half a step of the reference."


def stored(
    check: dict[str, Any],
    certainty: Sequence[str],
    passages: Sequence[dict[str, Any]],
    *,
    measured: dict[str, Any] | None = None,
    by_hand: Mapping[str, Sequence[float]] | None = None,
    value_whole: str = "",
    light: dict[str, Any] | None = None,
    warmth: dict[str, Any] | None = None,
    edges: Mapping[str, Any] | None = None,
    weights: MendWeights = USUAL_WEIGHTS,
) -> str:
    """The text kept with the painting: ``check.json``, how sure it is, the ``passages`` that have strayed as
    :func:`passages_as_json` gives them, and the sentence about the values as a whole.

    Where landmarks had been placed ``by_hand`` (x, y in mm by name), also the part ``drawing`` as it was ``measured``.
    ``light``: as :func:`app.values.light_found.keep_light` gives it. ``warmth``: as
    :func:`app.temperatures.found.keep_warmth` gives it. ``edges``: parts of the text as
    :func:`app.edges.found.keep_edges` names them. ``weights``: how the questions count in ``check``.
    """
    data: dict[str, Any] = {
        "check": check,
        "certainty": list(certainty),
        "passages": list(passages),
        "value_whole": value_whole,
        "weights": weights.to_json(),
    }
    data |= {name: part for name, part in (("light", light), ("warmth", warmth)) if part is not None}
    data |= edges or {}
    if measured is not None:
        data |= {"measured": measured, "by_hand": {name: list(place) for name, place in (by_hand or {}).items()}}
    return json.dumps(data, ensure_ascii=False, allow_nan=False)


def passages_as_json(result: "CheckResult") -> list[dict[str, Any]]:
    """The passages of a check as plain data, each with its sentence and its outlines in mm."""
    from core.mend import passage_words

    return [
        {
            "x_mm": round(each.x_mm, 1),
            "y_mm": round(each.y_mm, 1),
            "area_cm2": round(each.area_cm2, 2),
            "steps": round(each.steps, 2),
            "say": passage_words(each, result.drift.landmarks, result.values.relations, result.size),
            "outlines": [np.round(outline, 1).tolist() for outline in each.outlines_mm],
        }
        for each in result.values.passages
    ]


def read_outlines(text: str) -> dict[int, tuple[NDArray[np.float64], ...]]:
    """The outlines ``(N, 2)`` mm of each passage, by number; none when they cannot be read."""
    try:
        data = json.loads(text)
        if "passages" in data:
            kept = {n: each["outlines"] for n, each in enumerate(data["passages"], start=1)}
        else:
            kept = {int(n): [outline] for n, outline in data["outlines"].items()}
        found = {n: tuple(np.asarray(o, dtype=np.float64).reshape(-1, 2) for o in each) for n, each in kept.items()}
    except (ValueError, KeyError, TypeError, AttributeError):
        return {}
    return {n: outlines for n, outlines in found.items() if outlines and all(len(o) >= 3 for o in outlines)}


def read_findings(
    text: str,
    size: Size,
    *,
    made_at: datetime | None = None,
    is_current: bool = True,
    hands: "Mapping[str, Hand] | None" = None,
) -> Findings | None:
    """The findings in a stored text; None when it cannot be read (it is then as if no check had been made).

    ``hands``: the landmarks that are placed by hand now, whether or not the check knew of them.
    """
    try:
        data, hands = json.loads(text), hands or {}
        check, known = data["check"], data.get("by_hand", {})
        weights = MendWeights.from_json(data.get("weights"))
        if hands or known:
            from core.check_by_hand import with_hands

            check = with_hands(check, data.get("measured", check["drawing"]), hands, weights=weights)
        found = replace(
            _read(check, tuple(map(str, data["certainty"])), size, frozenset(hands)), mend=_mend(check["mend"], weights)
        )
        since = _places(hands) != {name: [round(v, 2) for v in place] for name, place in known.items()}
        whole = str(data.get("value_whole", ""))
        if "passages" in data:
            found = replace(found, areas=_passages(data["passages"]))
        return replace(found, made_at=made_at, is_current=is_current, hand_since=since, value_whole=whole)
    except (ValueError, KeyError, TypeError):
        return None


def _places(hands: "Mapping[str, Hand]") -> dict[str, list[float]]:
    return {name: [round(hand.x_mm, 2), round(hand.y_mm, 2)] for name, hand in hands.items()}


def _read(check: dict[str, Any], certainty: tuple[str, ...], size: Size, by_hand: frozenset[str]) -> Findings:
    drawing, value = check["drawing"], check["value"]
    whole = drawing["whole"]
    known = all(v is not None for v in (*whole["shift_mm"], whole["turn_deg"], whole["scale"]))
    shift = tuple(whole["shift_mm"])
    part = WholeDrift(size, (shift[0], shift[1]), whole["turn_deg"], whole["scale"]) if known else None
    told = None if part is None else (part.shift_mm, part.turn_deg, part.scale, size)
    return Findings(
        size=size,
        whole=None if told is None else words.whole_drawing(*told),
        whole_means="" if told is None else words.whole_means(*told),
        landmarks=_landmarks(drawing["landmarks"], part, by_hand),
        areas=_areas(value["areas"], size),
        share_within=value["share_within_half_step"],
        value_uncertainty=check["light"]["uncertainty_steps"],
        canvas_uncertainty_mm=check["canvas"]["uncertainty_mm"],
        certainty=certainty,
    )


def _mend(lines: list[dict[str, Any]], weights: MendWeights) -> tuple[Mend, ...]:
    return tuple(
        Mend(n, m["question"], m["x_mm"], m["y_mm"], m["say"], float(m["weight"]) / weights.of(m["question"]))
        for n, m in enumerate(lines, start=1)
    )


def _landmarks(marks: list[dict[str, Any]], whole: WholeDrift | None, by_hand: frozenset[str]) -> tuple[Landmark, ...]:
    """The furthest strayed first; those not measured last."""
    read = [
        Landmark(
            number=0,
            name=m["name"],
            x_mm=m["x_mm"],
            y_mm=m["y_mm"],
            dx_mm=m["dx_mm"],
            dy_mm=m["dy_mm"],
            confidence=m["confidence"] or 0.0,
            by_hand=m["name"] in by_hand,
            own_mm=_own(m, whole),
        )
        for m in marks
    ]
    ordered = sorted(read, key=lambda mark: (not mark.is_told, -mark.length_mm))
    return tuple(replace(mark, number=n) for n, mark in enumerate(ordered, start=1))


def _own(mark: dict[str, Any], whole: WholeDrift | None) -> tuple[float, float] | None:
    if whole is None or mark["dx_mm"] is None or mark["dy_mm"] is None:
        return None
    shared = whole.at(np.array([mark["x_mm"], mark["y_mm"]]))
    return float(mark["dx_mm"] - shared[0]), float(mark["dy_mm"] - shared[1])


def _passages(passages: list[dict[str, Any]]) -> tuple[Area, ...]:
    return tuple(
        Area(n, each["x_mm"], each["y_mm"], each["area_cm2"], each["steps"], each["say"])
        for n, each in enumerate(passages, start=1)
    )


def _areas(areas: list[dict[str, Any]], size: Size) -> tuple[Area, ...]:
    read = []
    for number, a in enumerate(areas, start=1):
        where = words.place(a["x_mm"], a["y_mm"], size).capitalize()
        say = f"{where}, {words.area(a['area_cm2'])}: {words.value_fault(a['steps'])}"
        read.append(Area(number, a["x_mm"], a["y_mm"], a["area_cm2"], a["steps"], say))
    return tuple(read)
