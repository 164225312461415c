"""A check written to a folder: check.json, check.npz, pictures and the printed sheet. Schema 1."""

import json
import math
from collections.abc import Iterable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.beside import beside
from core.check import CheckResult
from core.check_edges import edges_as_json
from core.check_warmth import CheckedWarmth
from core.drawing.drift import LandmarkDrift
from core.drawing.drift_whole import WholeDrift
from core.mend import Finding
from core.millimetre_maps import on_millimetres, value_on_millimetres
from core.tone import display_of_linear
from core.whole_file import made_folder, save_bytes

SCHEMA = 1


@dataclass(frozen=True)
class Written:
    """Where the parts of a check lie."""

    json: Path
    maps: Path
    sheet: Path
    pictures: tuple[Path, ...]


def as_json(result: CheckResult) -> dict[str, Any]:
    """The check as plain data, ready for :mod:`json`. Questions that were not asked have no key."""
    size = result.size
    edges = {} if result.edges is None else {"edge": {"edges": edges_as_json(result.edges)}}
    warmth = {} if result.warmth is None else {"temperature": _warmth_as_json(result.warmth)}
    return {
        "schema": SCHEMA,
        "size_mm": [_tidy(size.width_mm, 3), _tidy(size.height_mm, 3)],
        "canvas": {
            "corners_px": [[_tidy(x, 2), _tidy(y, 2)] for x, y in result.fix.corners_px],
            "found_by": result.fix.found_by,
            "px_per_mm": _tidy(result.fix.px_per_mm, 3),
            "lens_k1": _tidy(result.fix.k1, 5),
            "uncertainty_mm": _tidy(result.fix.uncertainty_mm, 3),
        },
        "light": {
            "from": result.light.source,
            "uncertainty_steps": _tidy(result.light.uncertainty_steps, 3),
            "glare_share": _tidy(result.glare.share, 5),
        },
        "drawing": drawing_as_json(result.drift.whole, result.drift.landmarks),
        "value": {
            "areas": [
                {
                    "x_mm": _tidy(area.x_mm, 1),
                    "y_mm": _tidy(area.y_mm, 1),
                    "area_cm2": _tidy(area.area_cm2, 2),
                    "steps": _tidy(area.steps, 2),
                }
                for area in result.values.areas
            ],
            "share_within_half_step": _tidy(result.values.share_within_half_step, 4),
        },
        **edges,
        **warmth,
        "mend": [finding_as_json(finding) for finding in result.mend],
    }


def _warmth_as_json(warmth: CheckedWarmth) -> dict[str, Any]:
    areas = [
        {
            "x_mm": _tidy(area.x_mm, 1),
            "y_mm": _tidy(area.y_mm, 1),
            "area_cm2": _tidy(area.area_cm2, 2),
            "warmer_by": _tidy(area.amount, 1),
        }
        for area in warmth.comparison.passages
    ]
    families = {
        name: {"light": _tidy(found.light, 1), "shadow": _tidy(found.shadow, 1)}
        for name, found in (("reference", warmth.reference), ("canvas", warmth.canvas))
    }
    return {"areas": areas, **families}


def drawing_as_json(whole: WholeDrift, landmarks: Iterable[LandmarkDrift]) -> dict[str, Any]:
    """The part about the drawing, as plain data."""
    return {
        "whole": {
            "shift_mm": [_tidy(v, 3) for v in whole.shift_mm],
            "turn_deg": _tidy(whole.turn_deg, 4),
            "scale": _tidy(whole.scale, 5),
        },
        "landmarks": [_landmark(mark) for mark in landmarks],
    }


def finding_as_json(finding: Finding) -> dict[str, Any]:
    """One line of the list to mend, as plain data."""
    return {
        "question": finding.question,
        "x_mm": _tidy(finding.x_mm, 1),
        "y_mm": _tidy(finding.y_mm, 1),
        "say": finding.say,
        "weight": _tidy(finding.weight, 3),
    }


def as_maps(result: CheckResult) -> dict[str, NDArray[np.float32]]:
    """The maps on a 1 mm grid, each ``(height_mm, width_mm)`` float32, NaN where withheld."""
    size = result.size
    maps = {
        "value_reference": value_on_millimetres(result.reference.linear, size),
        "value_canvas": value_on_millimetres(result.canvas_lit, size, withheld=result.withheld),
        "value_difference": on_millimetres(result.values.difference, size),
        "drift_dx_mm": result.drift.field_dx_mm.astype(np.float32),
        "drift_dy_mm": result.drift.field_dy_mm.astype(np.float32),
    }
    if result.edges is not None:
        maps |= result.edges.maps()
    if result.warmth is not None:
        compared = result.warmth.comparison
        maps |= {
            "warmth_reference": on_millimetres(compared.reference, size),
            "warmth_canvas": on_millimetres(compared.canvas, size),
            "warmth_difference": on_millimetres(compared.difference, size),
        }
    return maps


def write_check(result: CheckResult, folder: Path) -> Written:
    """Write everything into ``folder``, made if missing; each file appears whole or not at all.

    Raises PainterError with a sentence when the folder cannot be written to.
    """
    write_findings(result, folder)
    return write_pictures(result, folder)


def write_findings(result: CheckResult, folder: Path) -> None:
    """Only what was found: ``check.json``, ``check.npz`` and the canvas with its light taken out."""
    from core.check_pictures import as_png

    folder = made_folder(folder)
    text = json.dumps(as_json(result), indent=1, allow_nan=False, ensure_ascii=False)
    with beside(lambda: as_png(display_of_linear(result.canvas_lit))) as canvas:
        save_bytes(folder / "check.json", f"{text}\n".encode())
        save_bytes(folder / "check.npz", _compressed(as_maps(result)))
    save_bytes(folder / "canvas.png", canvas())


def write_pictures(result: CheckResult, folder: Path) -> Written:
    """The rest: the printed sheet and the picture of each question."""
    from core.check_pictures import as_png, check_pictures
    from core.report import sheet_bytes

    folder = made_folder(folder)
    pictures = check_pictures(result)
    drawn = {name: pixels for name, pixels in pictures.items() if name != "canvas"}
    with beside(lambda: [as_png(pixels) for pixels in drawn.values()]) as packed:
        save_bytes(folder / "check.pdf", sheet_bytes(result, pictures=pictures))
    for name, data in zip(drawn, packed(), strict=True):
        save_bytes(folder / f"{name}.png", data)
    files = tuple(folder / f"{name}.png" for name in pictures)
    return Written(folder / "check.json", folder / "check.npz", folder / "check.pdf", files)


def _compressed(maps: dict[str, NDArray[np.float32]]) -> bytes:
    held = BytesIO()
    np.savez_compressed(held, allow_pickle=False, **maps)
    return held.getvalue()


def _landmark(mark: LandmarkDrift) -> dict[str, Any]:
    return {
        "name": mark.name,
        "x_mm": _tidy(mark.x_mm, 2),
        "y_mm": _tidy(mark.y_mm, 2),
        "dx_mm": _tidy(mark.dx_mm, 3),
        "dy_mm": _tidy(mark.dy_mm, 3),
        "confidence": _tidy(mark.confidence, 3),
    }


def _tidy(number: float, digits: int) -> float | None:
    """A number fit for JSON; what is not known is null, never a made-up figure."""
    value = float(number)
    return round(value, digits) if math.isfinite(value) else None
