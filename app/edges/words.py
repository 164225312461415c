"""How an edge is told: how wide it is, its kind, its contrast and what is planned for it."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from core.edge.kinds import EdgeKind

if TYPE_CHECKING:
    from core.edge.plan import EdgePlan

WHAT_IT_IS = (
    "The width is sigma of the blur across the edge, in mm on the canvas: from a tenth to nine tenths of its step "
    "takes 2.6 times as much."
)
ACUITY = (
    "The smallest gap the eye can resolve grows with the angle from where it rests: twice as large at 2.5°, five times "
    "at 10°, nine times at 20° (after Strasburger, Rentschler and Jüttner, Journal of Vision 2011). All beyond the "
    "radius of the focal points is blurred by so much, as seen from the distance above."
)

_LEAST_MM = 0.1


@dataclass(frozen=True)
class EdgeReading:
    """One place on an edge: ``sigma_mm`` and ``uncertainty_mm``, ``contrast`` in Munsell steps, its ``kind`` in the
    reference, what is ``planned``, and whether that was ``brushed`` by hand."""

    sigma_mm: float
    uncertainty_mm: float
    contrast: float
    kind: EdgeKind
    planned: EdgeKind
    brushed: bool

    @classmethod
    def of(cls, plan: "EdgePlan", point: int) -> "EdgeReading":
        from core.edge.plan import KINDS

        edges = plan.edges
        return cls(
            float(edges.sigma_mm[point]),
            float(edges.uncertainty_mm[point]),
            float(edges.contrast[point]),
            KINDS[int(plan.reference[point])],
            plan.kind_of(point),
            bool(plan.brushed[point]),
        )

    @property
    def width(self) -> str:
        """No finer than it can be told."""
        return f"{self.sigma_mm:.1f} mm" if self.sigma_mm >= _LEAST_MM else f"under {_LEAST_MM} mm"

    @property
    def figure(self) -> str:
        return f"{self.width}, {self.kind}"

    @property
    def verdict(self) -> str:
        """Such as ``Good to ± 0.1 mm. 2.3 steps from dark to light. Planned soft, brushed by hand.``"""
        by_hand = ", brushed by hand" if self.brushed else ""
        planned = "Planned as it is" if self.planned is self.kind else f"Planned {self.planned}"
        return (
            f"Good to ± {max(_LEAST_MM, self.uncertainty_mm):.1f} mm. {self.contrast:.1f} steps from dark to light. "
            f"{planned}{by_hand}."
        )

    @property
    def at_pointer(self) -> tuple[str, ...]:
        """What stands beside the pointer."""
        if self.planned is self.kind:
            return self.width, str(self.kind)
        return self.width, f"{self.kind}, planned {self.planned}"
