"""A check as it was kept, told in figures and a list to mend. What cannot be read is told, never made up."""

import json
import math
from collections.abc import Iterable
from datetime import date
from typing import Any

from core import words
from core.check_files import SCHEMA
from core.errors import PainterError
from core.painting_report.parts import CheckTold, MendLine, ReportPicture
from core.size import Size

_OUTDATED = "The size, reference, drawing or corners were changed after this check; it is told as it was made."
_NEWER = "This check was made by another version of the program, and may not be told in full."
_DAMAGED = "This check cannot be read any more. Check the photo again."


def read_check(
    text: str, picture: ReportPicture, *, sitting: int = 0, on: date | None = None, is_current: bool = True
) -> CheckTold:
    """``text``: JSON, either check.json or what holds it under ``check`` beside ``certainty``."""
    try:
        data = json.loads(text)
    except ValueError:
        data = None
    check = _dict(data).get("check", data)
    if not isinstance(check, dict) or not check:
        return CheckTold(picture, sitting, on, notes=(_DAMAGED,))
    notes = [] if check.get("schema") == SCHEMA else [_NEWER]
    if not is_current:
        notes.append(_OUTDATED)
    whole = _say_whole(check)
    return CheckTold(
        picture=picture,
        sitting=sitting,
        on=on,
        figures=tuple(_figures(check)),
        mend=tuple(_mend(check)),
        certainty=tuple(each for each in _list(_dict(data).get("certainty")) if isinstance(each, str)),
        notes=(*([whole] if whole else []), *notes),
    )


def _figures(check: dict[str, Any]) -> Iterable[tuple[str, str]]:
    within = _number(_dict(check.get("value")).get("share_within_half_step"))
    if within is not None:
        yield "Values within half a step", words.as_share(within)
    moved = sorted(_moved(check))
    if moved:
        middle = moved[len(moved) // 2][0]
        yield "Landmarks, the middle one", f"{middle:.1f} mm off"
        yield "Landmarks, the worst", f"{moved[-1][0]:.1f} mm off ({moved[-1][1]})"
    canvas, light = _dict(check.get("canvas")), _dict(check.get("light"))
    flat, told = _number(canvas.get("uncertainty_mm")), _number(light.get("uncertainty_steps"))
    if flat is not None:
        yield "Canvas laid flat to within", f"{max(0.1, flat):.1f} mm"
    if told is not None:
        yield "Light taken out to within", f"{max(0.1, told):.1f} step"
    edges = _list(_dict(check.get("edge")).get("edges"))
    if edges:
        yield "Edges judged", str(len(edges))


def _moved(check: dict[str, Any]) -> Iterable[tuple[float, str]]:
    """How far each landmark is off, of those that are fairly sure."""
    for mark in _list(_dict(check.get("drawing")).get("landmarks")):
        told = _dict(mark)
        dx, dy, sure = (_number(told.get(key)) for key in ("dx_mm", "dy_mm", "confidence"))
        if dx is not None and dy is not None and sure is not None and sure >= words.FAIR:
            yield math.hypot(dx, dy), str(told.get("name", ""))


def _say_whole(check: dict[str, Any]) -> str:
    """What moved as a whole; empty where nothing did, or it cannot be told."""
    whole, size = _dict(_dict(check.get("drawing")).get("whole")), _list(check.get("size_mm"))
    numbers = [*_list(whole.get("shift_mm")), whole.get("turn_deg"), whole.get("scale"), *size]
    told = [each for each in (_number(number) for number in numbers) if each is not None]
    if len(told) != 6 or min(told[4:]) <= 0:
        return ""
    try:
        return words.whole_drawing((told[0], told[1]), told[2], told[3], Size(told[4], told[5]))
    except PainterError:
        return ""


def _mend(check: dict[str, Any]) -> Iterable[MendLine]:
    for each in _list(check.get("mend")):
        told = _dict(each)
        x, y, say = _number(told.get("x_mm")), _number(told.get("y_mm")), told.get("say")
        if x is not None and y is not None and isinstance(say, str):
            yield MendLine(str(told.get("question", "")), say, x, y)


def _number(told: Any) -> float | None:
    if isinstance(told, bool) or not isinstance(told, int | float) or not math.isfinite(told):
        return None
    return float(told)


def _dict(told: Any) -> dict[str, Any]:
    return told if isinstance(told, dict) else {}


def _list(told: Any) -> list[Any]:
    return told if isinstance(told, list) else []
