"""What the edge question lays over the pictures: four kinds of line, focal points, numbered stretches."""

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter

from app import look
from app.edges.legend_lines import paint_sample
from app.picture import painted
from app.wall.edge_lines import PEN_PX, PlanLines
from app.wall.edge_stretches import NumberedStretch, NumberedStretches
from app.wall.focus_rings import FocusRings
from app.wall.hanging import Overlay
from app.wall.sight import Placed, Sight
from core.edge.brief import EdgeBrief, FocalPoint
from core.edge.kinds import EdgeKind
from core.edge.plan import EdgePlan, plan_edges
from core.edge.styles import STYLES
from core.size import Size
from tests.app.wall_support import FLAT, image_codes
from tests.core.edge.plan_cases import ring, straight, together

pytestmark = pytest.mark.usefixtures("qapp")

SIZE = Size(160, 100)
WIDE, HIGH = 800, 500
GROUND = 235
WHOLE = Sight(80, 50, 5.0)
ROWS_MM = {EdgeKind.HARD: 20, EdgeKind.FIRM: 40, EdgeKind.SOFT: 60, EdgeKind.LOST: 80}
SIGMA_MM = {EdgeKind.HARD: 0.05, EdgeKind.FIRM: 0.3, EdgeKind.SOFT: 0.8, EdgeKind.LOST: 3.0}


def rows(start_mm: float = 10, end_mm: float = 150) -> EdgePlan:
    parts = [straight((start_mm, y), (end_mm, y), sigma_mm=SIGMA_MM[kind]) for kind, y in ROWS_MM.items()]
    return plan_edges(together(*parts), EdgeBrief(SIZE))


def laid(overlay: Overlay, sight: Sight = WHOLE) -> np.ndarray:
    def paint(painter: QPainter) -> None:
        painter.fillRect(0, 0, WIDE, HIGH, QColor(GROUND, GROUND, GROUND))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        overlay.paint(painter, Placed(FLAT, sight, QRectF(0, 0, WIDE, HIGH)))

    return image_codes(painted(WIDE, HIGH, 1.0, paint))


def band(picture: np.ndarray, y_px: float, left: int = 100, right: int = 700) -> np.ndarray:
    """How dark a strip about a height is, 0-1 of the ground."""
    return 1 - picture[round(y_px) - 6 : round(y_px) + 6, left:right] / GROUND


@pytest.mark.parametrize("zoom", [5.0, 7.0, 20.0])
def test_kinds_differ_in_weight_pattern_and_tone_at_every_zoom(zoom: float) -> None:
    plan, unbroken, heavy, tone = rows(), {}, {}, {}
    for kind, y in ROWS_MM.items():
        strip = band(laid(PlanLines(plan), Sight(80, y, zoom)), HIGH / 2)
        drawn = strip.max(axis=0) > 0.3
        unbroken[kind], heavy[kind] = drawn.mean(), strip.sum(axis=0).max()
        tone[kind] = strip.max()
    assert unbroken[EdgeKind.HARD] == 1.0
    for kind in (EdgeKind.FIRM, EdgeKind.SOFT):
        style = STYLES[kind]
        assert unbroken[kind] == pytest.approx(style.dash / (style.dash + style.gap), abs=0.1)
    assert unbroken[EdgeKind.LOST] < 0.45
    weights = [heavy[kind] for kind in EdgeKind]
    assert weights[0] > 1.3 * weights[1] > 1.5 * weights[2]
    assert weights[0] == pytest.approx(STYLES[EdgeKind.HARD].width * PEN_PX, rel=0.15)
    # Lines two pixels wide are smoothed, so that their tones come near one another: their patterns part them.
    hard, firm, soft, lost = (tone[kind] for kind in EdgeKind)
    assert hard > firm + 0.1 > max(soft, lost) + 0.1


def test_a_short_line_never_passes_for_an_unbroken_one() -> None:
    picture = laid(PlanLines(rows(78, 82.5)))  # 22 px: less than two dashes of the firm style and their gap
    strip = band(picture, ROWS_MM[EdgeKind.FIRM] * 5, 380, 420).max(axis=0) > 0.4
    assert np.abs(np.diff(strip.astype(int))).sum() == 4  # two dashes


def test_lines_lie_where_the_edges_are() -> None:
    plan = plan_edges(ring(80, 50, 30, sigma_mm=0.05), EdgeBrief(SIZE))
    y, x = np.nonzero(laid(PlanLines(plan)) < 60)
    assert np.hypot((x + 0.5) / 5 - 80, (y + 0.5) / 5 - 50) == pytest.approx(30, abs=0.6)


def test_nothing_is_drawn_of_a_plan_without_edges() -> None:
    none = ring(80, 50, 30).only(np.zeros(0, np.intp))
    assert (laid(PlanLines(plan_edges(none, EdgeBrief(SIZE)))) == GROUND).all()


@pytest.mark.parametrize("ground", [20, 235])
def test_a_focal_point_shows_its_radius_its_middle_and_its_number(ground: int) -> None:
    rings = FocusRings(((1, FocalPoint(60, 50, 25)), (2, FocalPoint(130, 50, 10))))

    def paint(painter: QPainter) -> None:
        painter.fillRect(0, 0, WIDE, HIGH, QColor(ground, ground, ground))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        rings.paint(painter, Placed(FLAT, WHOLE, QRectF(0, 0, WIDE, HIGH)))

    seen = np.abs(image_codes(painted(WIDE, HIGH, 1.0, paint)) - ground) > 60
    for focus in (rings.foci[0][1], rings.foci[1][1]):
        for turn in np.radians([20, 110, 200, 290]):
            x, y = focus.x_mm + focus.radius_mm * np.cos(turn), focus.y_mm + focus.radius_mm * np.sin(turn)
            assert seen[round(y * 5) - 2 : round(y * 5) + 3, round(x * 5) - 2 : round(x * 5) + 3].any()
        x, y = round(focus.x_mm * 5), round(focus.y_mm * 5)
        assert seen[y - 3 : y + 4, x - 3 : x + 4].any()


def test_the_chosen_stretch_is_heavier_and_keeps_its_number() -> None:
    one = NumberedStretch("1", np.array([[20.0, 50.0], [60.0, 50.0]]), (40.0, 50.0))
    other = NumberedStretch("2", np.array([[100.0, 50.0], [140.0, 50.0]]), (120.0, 50.0))
    picture = laid(NumberedStretches((one, other), chosen="2"))
    thick = [(picture[230:270, x] < 60).sum() for x in (110, 510)]  # beside their numbers
    assert thick[1] > 1.4 * thick[0] > 0
    crowd = tuple(NumberedStretch(str(n), one.points_mm, (40.0, 50.0)) for n in range(1, 60))
    chosen = laid(NumberedStretches(crowd, chosen="59"))
    assert (chosen[200:245, 160:240] < 60).mean() > 0.1  # its dark plate above the place


@pytest.mark.parametrize("kind", list(EdgeKind))
def test_the_legend_draws_a_line_as_the_plan_does(kind: EdgeKind) -> None:
    def paint(painter: QPainter) -> None:
        painter.fillRect(0, 0, 400, 40, QColor(GROUND, GROUND, GROUND))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        paint_sample(painter, kind, QRectF(0, 0, 400, 40))

    sample = image_codes(painted(400, 40, 1.0, paint))
    inked = ((1 - sample / GROUND).max(axis=0) > 0.3).mean()
    strip = band(laid(PlanLines(rows())), ROWS_MM[kind] * 5)
    assert inked == pytest.approx((strip.max(axis=0) > 0.3).mean(), abs=0.08)
    if kind is not EdgeKind.LOST:  # a dot of two pixels covers no column of pixels wholly
        dark = (1 - sample / GROUND).sum(axis=0).max() / (1 - STYLES[kind].grey / GROUND)
        assert dark == pytest.approx(look.px(PEN_PX) * STYLES[kind].width, rel=0.15)
