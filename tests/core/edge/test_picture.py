"""The plan drawn over the picture: four kinds of line that no colour tells apart."""

from itertools import combinations

import numpy as np
import pytest

from core.edge.brief import Brushed, EdgeBrief, FocalPoint
from core.edge.kinds import EdgeKind
from core.edge.picture import FADED, faded, plan_picture
from core.edge.plan import EdgePlan, plan_edges
from core.edge.styles import STYLES, dashed, legend, strokes
from core.size import Size
from tests.core.edge.plan_cases import ring, straight, together

SIZE, PX_PER_MM, PEN = Size(160, 100), 10.0, 2.0
ROWS_MM = {EdgeKind.HARD: 20, EdgeKind.FIRM: 40, EdgeKind.SOFT: 60, EdgeKind.LOST: 80}
SIGMA_MM = {EdgeKind.HARD: 0.05, EdgeKind.FIRM: 0.3, EdgeKind.SOFT: 0.8, EdgeKind.LOST: 3.0}


def four_rows(foci: tuple[FocalPoint, ...] = ()) -> EdgePlan:
    parts = [straight((10, ROWS_MM[kind]), (150, ROWS_MM[kind]), sigma_mm=SIGMA_MM[kind]) for kind in EdgeKind]
    return plan_edges(together(*parts), EdgeBrief(SIZE, foci))


def drawn(plan: EdgePlan, ground: int = 255) -> np.ndarray:
    high, wide = round(SIZE.height_mm * PX_PER_MM), round(SIZE.width_mm * PX_PER_MM)
    return plan_picture(np.full((high, wide, 3), ground, np.uint8), plan, pen_px=PEN)


def test_each_kind_has_its_own_weight_pattern_and_tone() -> None:
    picture = drawn(four_rows())
    weight, tone, unbroken = {}, {}, {}
    for kind, row in ROWS_MM.items():
        band = 255.0 - picture[round(row * PX_PER_MM) - 20 : round(row * PX_PER_MM) + 20, 200:1400, 0]
        inked = band.max(axis=0) > 60
        unbroken[kind] = inked.mean()
        weight[kind] = (band / band.max()).sum(axis=0).max()
        tone[kind] = 255 - band.max()
    assert unbroken[EdgeKind.HARD] == 1.0
    assert unbroken[EdgeKind.FIRM] == pytest.approx(17 / 23, abs=0.06)
    assert unbroken[EdgeKind.SOFT] == pytest.approx(6.5 / 11.5, abs=0.08)
    assert unbroken[EdgeKind.LOST] < 0.45
    assert weight[EdgeKind.HARD] > 1.4 * weight[EdgeKind.FIRM] > 1.5 * weight[EdgeKind.SOFT]
    tones = [tone[kind] for kind in EdgeKind]
    assert tones == sorted(tones)
    assert tones == pytest.approx([STYLES[kind].grey for kind in EdgeKind], abs=3)
    assert all(abs(a - b) >= 18 for a, b in combinations(tones, 2))


def test_no_line_has_a_colour() -> None:
    picture = drawn(four_rows((FocalPoint(60, 50, 30),)))
    assert (np.ptp(picture.astype(int), axis=2) == 0).all()


def test_lines_lie_where_the_edges_are() -> None:
    picture = drawn(plan_edges(ring(80, 50, 30, sigma_mm=0.05), EdgeBrief(SIZE)))
    rows, columns = np.nonzero(picture[..., 0] < 100)
    away = np.hypot((columns + 0.5) / PX_PER_MM - 80, (rows + 0.5) / PX_PER_MM - 50)
    assert away == pytest.approx(30, abs=0.6)
    assert np.mean(away) == pytest.approx(30, abs=0.03)


def test_a_focal_point_is_ringed() -> None:
    picture = drawn(four_rows((FocalPoint(60, 50, 30),)), ground=0)[..., 0].astype(int)
    turn = np.linspace(0, 2 * np.pi, 400)
    x, y = 60 + 30 * np.cos(turn), 50 + 30 * np.sin(turn)
    on = picture[np.rint(y * PX_PER_MM - 0.5).astype(int), np.rint(x * PX_PER_MM - 0.5).astype(int)]
    assert np.median(on) < 60
    assert picture[round(50 * PX_PER_MM), round(60 * PX_PER_MM)] < 120
    x, y = 60 + 30.25 * np.cos(turn), 50 + 30.25 * np.sin(turn)
    beside = picture[np.rint(y * PX_PER_MM - 0.5).astype(int), np.rint(x * PX_PER_MM - 0.5).astype(int)]
    assert np.median(beside) > 200


def test_strokes_part_half_way_between_two_kinds_and_cover_the_whole() -> None:
    edges = straight((10, 50), (150, 50), sigma_mm=0.05)
    by_hand = Brushed(((60, 50), (90, 50)), 0.4, EdgeKind.LOST)
    plan = plan_edges(edges, EdgeBrief(SIZE, (), (by_hand,)))
    parts = strokes(plan)
    assert [part.kind for part in parts] == [EdgeKind.LOST, EdgeKind.HARD, EdgeKind.HARD]
    spans = sorted((part.points_mm[:, 0].min(), part.points_mm[:, 0].max()) for part in parts)
    assert spans == [pytest.approx(each) for each in ((10, 59.75), (59.75, 90.25), (90.25, 150))]


def test_a_closed_line_comes_back_to_where_it_began() -> None:
    plan = plan_edges(ring(80, 50, 30), EdgeBrief(SIZE))
    (part,) = strokes(plan)
    assert part.points_mm[0] == pytest.approx(part.points_mm[-1])
    by_hand = Brushed(((110, 50),), 20.0, EdgeKind.SOFT)
    parts = strokes(plan_edges(ring(80, 50, 30), EdgeBrief(SIZE, (), (by_hand,))))
    assert len(parts) == 2
    total = sum(float(np.linalg.norm(np.diff(p.points_mm, axis=0), axis=1).sum()) for p in parts)
    assert total == pytest.approx(2 * np.pi * 30, rel=0.002)
    ends = np.sort(np.concatenate([p.points_mm[[0, -1], 1] for p in parts]))
    assert ends[0] == pytest.approx(ends[1])
    assert ends[2] == pytest.approx(ends[3])


@pytest.mark.parametrize(("length", "count"), [(100.0, 17), (2.0, 2), (7.0, 2), (0.0, 1)])
def test_dashes_of_one_length_with_one_at_either_end(length: float, count: int) -> None:
    line = np.array([[0.0, 5.0], [length / 3, 5.0], [length, 5.0]])
    parts = dashed(line, 4.0, 2.0)
    assert len(parts) == count
    spans = np.array([(part[0, 0], part[-1, 0]) for part in parts])
    assert spans.min() == 0
    assert spans.max() == pytest.approx(length)
    assert spans[:, 1] - spans[:, 0] == pytest.approx(spans[0, 1] - spans[0, 0])
    assert spans[1:, 0] - spans[:-1, 1] == pytest.approx((spans[:, 1] - spans[:, 0])[1:] / 2)


def test_dots_are_evenly_apart() -> None:
    dots = np.concatenate(dashed(np.array([[0.0, 0.0], [30.0, 0.0], [30.0, 21.0]]), 0.0, 5.0))
    along = np.where(dots[:, 0] < 30, dots[:, 0], 30 + dots[:, 1])
    assert np.diff(along) == pytest.approx(5.1)
    assert len(dots) == 11


def test_a_picture_is_faded_to_light_greys() -> None:
    picture = np.array([[[0, 0, 0], [255, 255, 255], [0, 255, 0], [0, 0, 255]]], np.uint8)
    grey = faded(picture)
    assert grey[0, 0] == round(255 * (1 - FADED))
    assert grey[0, 1] == 255
    assert grey[0, 2] > grey[0, 3] > grey[0, 0]
    assert faded(np.zeros((2, 3), np.uint8)).tolist() == [[round(255 * (1 - FADED))] * 3] * 2


def test_the_legend_has_each_kind_with_its_share() -> None:
    plan = four_rows()
    entries = legend(plan)
    assert [entry.kind for entry in entries] == list(EdgeKind)
    assert sum(entry.share for entry in entries) == pytest.approx(1.0)
    assert len({entry.pattern for entry in entries}) == len({entry.style for entry in entries}) == 4


def test_what_cannot_be_drawn_is_refused() -> None:
    with pytest.raises(ValueError, match="uint8"):
        plan_picture(np.zeros((4, 4), np.float32), four_rows())  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="pen"):
        plan_picture(np.zeros((4, 4), np.uint8), four_rows(), pen_px=0.0)
