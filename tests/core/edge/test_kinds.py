"""Hard, firm, soft, lost."""

import math

import pytest

from core.edge.kinds import EdgeBounds, EdgeKind
from core.errors import PainterError
from core.size import Size


@pytest.mark.parametrize(
    ("sigma_mm", "kind"),
    [(0.0, "hard"), (0.49, "hard"), (0.5, "firm"), (1.49, "firm"), (1.5, "soft"), (3.9, "soft"), (4.0, "lost")],
)
def test_the_bounds_of_a_canvas_of_the_usual_size(sigma_mm: float, kind: str) -> None:
    assert EdgeBounds.for_size(Size(400, 300)).kind(sigma_mm) is EdgeKind(kind)


def test_a_larger_canvas_has_wider_bounds() -> None:
    assert EdgeBounds.for_size(Size(1200, 900)).kind(1.4) is EdgeKind.HARD


@pytest.mark.parametrize("bounds", [(1.5, 0.5, 4.0), (0.0, 1.0, 2.0), (0.5, 0.5, 4.0), (0.5, 1.5, math.nan)])
def test_bounds_that_do_not_rise_are_refused(bounds: tuple[float, float, float]) -> None:
    with pytest.raises(PainterError, match="three widths in mm"):
        EdgeBounds(*bounds)
