"""How many edges painted too soft or too hard are found, on paintings whose edges are known.

    python -m tests.measure.edge_compare [cases] [first]

Photographs and forms, painted with streaks, broken colour and weave or stroke by stroke, displaced up to 3 mm, shot at
12 megapixels; in round zones edges are softened, or left sharp where the reference is soft, by 1.8 to 3 mm.
"""

import sys
import time
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from core.edge.compare import EdgeComparison, compare_edges, reference_edges
from core.edge.kinds import EdgeBounds
from core.edge.stretches import Verdict
from tests.core.edge.softened_cases import FLAT_PX_PER_MM, SoftenedCase, Zone, softened_case

_NEAR_MM = 3.0
"""How far outside a zone, which fades over 2 mm, a fault may begin."""


@dataclass
class Score:
    """Zones found and missed, false stretches a picture, relative errors of the canvas's sigma in and beside zones."""

    soft: list[bool] = field(default_factory=list)
    hard: list[bool] = field(default_factory=list)
    false: list[int] = field(default_factory=list)
    errors: list[float] = field(default_factory=list)
    elsewhere: list[float] = field(default_factory=list)
    told: list[float] = field(default_factory=list)
    took: list[tuple[float, float]] = field(default_factory=list)

    def say(self) -> str:
        error, beside = np.abs(self.errors), np.abs(self.elsewhere)
        prepared, compared = np.median(self.took, axis=0)
        return (
            f"softened found {sum(self.soft)} of {len(self.soft)}, hardened {sum(self.hard)} of {len(self.hard)}; "
            f"false stretches {np.mean(self.false):.2f} a picture ({self.false}); canvas sigma in softened zones: "
            f"median error {np.median(error):.3f}, within 30 % {(error < 0.3).mean():.2f}, bias "
            f"{np.median(self.errors):+.3f}; elsewhere {np.median(beside):.3f}, {(beside < 0.3).mean():.2f}; "
            f"told {np.mean(self.told):.2f} of edge length; reference {prepared:.2f} s, "
            f"comparison {compared:.2f} s of processor time"
        )


def judged(case: SoftenedCase, score: Score) -> EdgeComparison:
    """Compare one case, and count."""
    began = time.process_time()
    reference = reference_edges(case.reference, FLAT_PX_PER_MM)
    between = time.process_time()
    compared = compare_edges(
        reference, case.canvas, px_per_mm=FLAT_PX_PER_MM, bounds=EdgeBounds.for_size(case.size), move=case.move
    )
    score.took.append((between - began, time.process_time() - between))
    score.told.append(compared.told_share)
    for zone in case.zones:
        (score.hard if zone.hardened else score.soft).append(_found(compared, zone))
    score.false.append(
        sum(all(zone.away_mm(each.x_mm, each.y_mm) > _NEAR_MM for zone in case.zones) for each in compared.faults)
    )
    score.errors.extend(_errors(case, compared))
    score.elsewhere.extend(_errors_elsewhere(case, compared))
    return compared


def _found(compared: EdgeComparison, zone: Zone) -> bool:
    wanted = Verdict.HARD if zone.hardened else Verdict.SOFT
    return any(each.verdict is wanted and zone.away_mm(each.x_mm, each.y_mm) <= _NEAR_MM for each in compared.faults)


def _errors(case: SoftenedCase, compared: EdgeComparison) -> Iterable[float]:
    """Relative errors of the canvas's sigma well inside softened zones, against hypot(reference, blur)."""
    at = compared.places
    for zone in case.zones:
        inside = np.hypot(at.x_mm - zone.x_mm, at.y_mm - zone.y_mm) < zone.radius_mm - 6
        known = inside & np.isfinite(compared.canvas_mm) & (at.sigma_mm < 1.3)
        if not zone.hardened:
            yield from compared.canvas_mm[known] / np.hypot(at.sigma_mm[known], zone.blur_mm) - 1


def _errors_elsewhere(case: SoftenedCase, compared: EdgeComparison) -> Iterable[float]:
    at = compared.places
    known = np.isfinite(compared.canvas_mm)
    for zone in case.zones:
        known &= np.hypot(at.x_mm - zone.x_mm, at.y_mm - zone.y_mm) > zone.radius_mm + 8
    yield from compared.canvas_mm[known] / at.sigma_mm[known] - 1


def main(numbers: Iterable[int]) -> None:
    for brushwork in ("texture", "strokes"):
        score = Score()
        for number in numbers:
            case = softened_case(number, brushwork=brushwork)
            judged(case, score)
        print(f"{brushwork}: {score.say()}", flush=True)


if __name__ == "__main__":
    given = [int(each) for each in sys.argv[1:]]
    count, first = (*given, *(5, 0)[len(given) :])
    main(range(first, first + count))
