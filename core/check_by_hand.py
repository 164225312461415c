"""A check that was kept, with the landmarks that the painter has placed by hand since.

What was measured is never overwritten: the hand's places are put into it whenever it is read, so that taking one away
gives back exactly what was measured.
"""

from collections.abc import Mapping
from typing import Any

from core.check_files import drawing_as_json, finding_as_json
from core.drawing.by_hand import Hand, corrected_landmarks
from core.drawing.drift import LandmarkDrift
from core.drawing.drift_confidence import sigma_of, tolerance_mm
from core.drawing.drift_whole import WholeDrift
from core.mend import drawing_to_mend
from core.mend_weights import USUAL_WEIGHTS, MendWeights
from core.size import Size


def with_hands(
    check: Mapping[str, Any],
    measured: Mapping[str, Any],
    hands: Mapping[str, Hand],
    *,
    weights: MendWeights = USUAL_WEIGHTS,
) -> dict[str, Any]:
    """The data of a ``check.json`` (schema 1, as is the answer) with these hands in it, not those it was made with.

    ``measured``: the part ``drawing`` as it was measured, without any hand; ``weights``: how the questions count. The
    values keep what was found: they follow the hand at the next check.
    """
    size = Size(*check["size_mm"])
    whole = _whole(measured["whole"], size)
    tolerance = tolerance_mm(size)
    landmarks = [_landmark(mark, tolerance) for mark in measured["landmarks"]]
    placed, fitted = corrected_landmarks(landmarks, whole, hands)
    mend = [line for line in check["mend"] if line["question"] != "drawing"]
    mend += [finding_as_json(finding) for finding in drawing_to_mend(fitted, placed, size, weights=weights)]
    return {
        **check,
        "drawing": drawing_as_json(fitted, placed),
        "mend": sorted(mend, key=lambda line: -float(line["weight"])),
    }


def _whole(found: Mapping[str, Any], size: Size) -> WholeDrift:
    """As measured; NaN where it could not be told, which goes back as it came."""
    shift = tuple(_number(v) for v in found["shift_mm"])
    return WholeDrift(size, (shift[0], shift[1]), _number(found["turn_deg"]), _number(found["scale"]))


def _landmark(mark: Mapping[str, Any], tolerance: float) -> LandmarkDrift:
    confidence = mark["confidence"] or 0.0
    return LandmarkDrift(
        name=mark["name"],
        x_mm=mark["x_mm"],
        y_mm=mark["y_mm"],
        dx_mm=_number(mark["dx_mm"]),
        dy_mm=_number(mark["dy_mm"]),
        confidence=confidence,
        sigma_mm=sigma_of(confidence, tolerance),
        local_dx_mm=float("nan"),
        local_dy_mm=float("nan"),
    )


def _number(value: float | None) -> float:
    return float("nan") if value is None else float(value)
