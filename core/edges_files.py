"""The files of the edge question: the plan as a picture and as a page, what the eye sees, and the lines as data."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from core.edge.brief import EyeSettings
from core.edge.eye import as_seen
from core.edge.picture import plan_picture
from core.edge.plan import KINDS, EdgePlan
from core.edge_page import EdgePage, write_edge_page
from core.edges import MeasuredReference
from core.save import save_png
from core.size import PAPERS, Size
from core.tone import display_of_linear
from core.whole_file import made_folder, save_bytes

Tell = Callable[[float, str], object]

SCHEMA = 1


def write_edges(
    measured: MeasuredReference,
    plan: EdgePlan,
    folder: Path,
    *,
    eye: EyeSettings | None = None,
    paper: Size = PAPERS["A4"],
    title: str = "Reference",
    tell: Tell | None = None,
) -> tuple[Path, ...]:
    """Write everything into ``folder``, made if missing, each file whole or not at all; give back the files.

    Pictures are PNG at the canvas's scale; ``seen.png`` is written when the plan has a focal point, for ``eye``, the
    plan's own, or the usual one. Raises PainterError with a sentence.
    """
    say = tell or (lambda share, doing: None)
    folder = made_folder(folder)
    flat, picture = measured.flat, measured.picture
    say(0.0, "writing edges.png")
    written = [folder / "edges.png", folder / "edges.pdf", folder / "edges.json"]
    save_png(written[0], plan_picture(picture, plan), px_per_mm=flat.px_per_mm)
    say(0.4, "printing the plan")
    write_edge_page(written[1], EdgePage(picture, plan, paper, title))
    say(0.6, "writing edges.json")
    text = json.dumps(edges_as_json(plan), ensure_ascii=False, allow_nan=False)
    save_bytes(written[2], text.encode())
    if plan.brief.foci:
        say(0.7, "writing seen.png")
        written.append(folder / "seen.png")
        seen = as_seen(flat.linear, plan.brief.foci, eye or plan.brief.eye or EyeSettings(), px_per_mm=flat.px_per_mm)
        save_png(written[-1], display_of_linear(seen), px_per_mm=flat.px_per_mm)
    say(1.0, "done")
    return tuple(written)


def edges_as_json(plan: EdgePlan) -> dict[str, Any]:
    """The plan as plain data: its brief, its budget, and every line with the points along it in mm, how wide the
    reference has each of them (sigma, mm, and ±), its contrast in Munsell steps, its kind there and its planned kind.
    """
    bounds, budget = plan.brief.kind_bounds, plan.budget
    return {
        "schema": SCHEMA,
        "brief": plan.brief.to_json(),
        "bounds_mm": [bounds.hard_mm, bounds.firm_mm, bounds.soft_mm],
        "budget": {
            "total_mm": round(budget.total_mm, 1),
            "shares": {str(kind): round(share, 4) for kind, share in zip(KINDS, budget.shares, strict=True)},
            "wanted_hard": budget.wanted_hard,
        },
        "lines": [_line(plan, number) for number in range(len(plan.lines.lines))],
    }


def _line(plan: EdgePlan, number: int) -> dict[str, Any]:
    line, edges = plan.lines.lines[number], plan.edges
    which = line.index
    return {
        "closed": line.closed,
        "length_mm": round(line.length_mm, 1),
        "points_mm": np.round(line.points_mm, 2).tolist(),
        "sigma_mm": np.round(edges.sigma_mm[which], 3).tolist(),
        "uncertainty_mm": np.round(edges.uncertainty_mm[which], 3).tolist(),
        "contrast_steps": np.round(edges.contrast[which], 2).tolist(),
        "reference": [str(KINDS[kind]) for kind in plan.reference[which]],
        "planned": [str(KINDS[kind]) for kind in plan.kind[which]],
        "brushed": plan.brushed[which].tolist(),
    }
