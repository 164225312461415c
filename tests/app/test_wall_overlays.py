"""What is laid over the pictures lies where it should, and can be read on any ground."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen
from pytestqt.qtbot import QtBot

from app import look
from app.picture import painted
from app.wall import (
    Acetate,
    DriftArrow,
    DriftArrows,
    Legend,
    Mapping,
    NumberedArea,
    NumberedAreas,
    Placed,
    Sight,
)
from app.wall.areas import point_within
from app.wall.hanging import Overlay
from app.wall.line_work import LineWork
from app.wall.marks import rim_for
from app.wall.scale_bar import LONGEST_PX, scale_bar
from app.wall.trace import divided
from core.size import MM_PER_INCH

from .wall_support import FLAT, SIZE, drawing, image_codes

GROUND = 128
WIDE, HIGH = 900, 700
WHOLE = Sight(200, 150, 2.0)

pytestmark = pytest.mark.usefixtures("qapp")


def placed(sight: Sight = WHOLE, mapping: Mapping = FLAT) -> Placed:
    return Placed(mapping, sight, QRectF(0, 0, WIDE, HIGH))


def laid(overlay: Overlay, where: Placed, ground: int = GROUND) -> np.ndarray:
    """(HIGH, WIDE) codes of a grey ground with an overlay on it."""

    def paint(painter: QPainter) -> None:
        painter.fillRect(0, 0, WIDE, HIGH, QColor(ground, ground, ground))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        overlay.paint(painter, where)

    return image_codes(painted(WIDE, HIGH, 1.0, paint))


def touched(overlay: Overlay, where: Placed) -> np.ndarray:
    """(N, 2) x, y of the pixels an overlay changed."""
    return np.argwhere(laid(overlay, where) != GROUND)[:, ::-1] + 0.5


BARE = Acetate.of(drawing(), landmarks=False)


@pytest.mark.parametrize("sight", [WHOLE, Sight(110, 140, 6.0), Sight(150, 200, 0.9)])
def test_the_lines_lie_at_their_millimetres(sight: Sight) -> None:
    where = placed(sight)
    shot = laid(BARE, where)
    x = where.point(100, 0).x()
    rows = np.arange(*(int(np.clip(where.point(100, y).y(), 10, HIGH - 10)) for y in (60, 240)), 7)
    for row in rows:
        near = shot[row, round(x) - 9 : round(x) + 9]
        dark = np.flatnonzero(near < 60) + round(x) - 9 + 0.5
        assert dark.mean() == pytest.approx(x, abs=0.75)


def test_a_curve_passes_through_its_middle() -> None:
    """A cubic at half its length: (p0 + 3 p1 + 3 p2 + p3) / 8, here (240, 110)."""
    at = placed().point(240, 110)
    shot = laid(BARE, placed())
    column = shot[round(at.y()) - 9 : round(at.y()) + 9, int(at.x())]
    assert (np.flatnonzero(column < 60) + round(at.y()) - 9 + 0.5).mean() == pytest.approx(at.y(), abs=0.75)


@pytest.mark.parametrize("ground", [0, 20, 64, 128, 190, 240, 255])
@pytest.mark.parametrize("colour", ["black", "white", "#d0402a", "#2a50c0", "#e0c020"])
def test_lines_can_be_seen_on_any_ground(ground: int, colour: str) -> None:
    """WCAG 2.2, 1.4.11: line or rim stands off from the ground by 3:1."""
    inked = replace(BARE, colour=QColor(colour))
    shot = laid(inked, placed(), ground)
    row = shot[350, 235:265]
    here = QColor(ground, ground, ground)
    best = max(look.contrast(QColor(c, c, c), here) for c in (int(row.min()), int(row.max())))
    assert best >= 3.0
    assert look.contrast(rim_for(QColor(colour)), QColor(colour)) >= 3.0


def test_strength_fades_and_nothing_is_left_at_none() -> None:
    full, half, none = (laid(replace(BARE, strength=s), placed()) for s in (1.0, 0.5, 0.0))
    assert (none == GROUND).all()
    line = full < 60
    assert full[line].mean() < half[line].mean() < GROUND


@pytest.mark.parametrize(("weight_mm", "zoom", "wide"), [(0.5, 8.0, 4.0), (2.0, 4.0, 8.0), (0.3, 1.0, 1.0)])
def test_a_weight_in_millimetres_grows_with_the_zoom(weight_mm: float, zoom: float, wide: float) -> None:
    shot = laid(replace(BARE, weight_mm=weight_mm), placed(Sight(100, 150, zoom)), 255)
    darkness = (255 - shot[350, 400:500]).sum() / 255
    ink = (255 - look.INK.green()) / 255
    rim = 3.0 * (255 - look.PAPER.green()) / 255
    assert darkness == pytest.approx(wide * ink + rim, abs=0.35)


def test_pictures_of_other_resolutions_share_one_layer(monkeypatch: pytest.MonkeyPatch) -> None:
    """The lines lie on the screen alike, so they are painted once."""
    painted_at: list[Placed] = []
    stroke = LineWork.stroke

    def counted(self: LineWork, painter: QPainter, where: Placed, *rest: object) -> None:
        painted_at.append(where)
        stroke(self, painter, where, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(LineWork, "stroke", counted)
    drawn = Acetate.of(drawing())
    coarse, fine = (laid(drawn, placed(mapping=Mapping.flat(density))) for density in (2.0, 11.0))
    assert (coarse == fine).all()
    assert (coarse != GROUND).any()
    assert len(painted_at) == 1


@pytest.mark.parametrize("weight_px", [1.0, 2.0, 4.0, 9.0, 24.0])
def test_pieces_look_as_the_curve_itself(weight_px: float) -> None:
    """Against QPainter's own stroke of the cubic curves: no gap, no tooth, no course of its own."""

    def paint(painter: QPainter) -> None:
        painter.fillRect(0, 0, WIDE, HIGH, QColor(GROUND, GROUND, GROUND))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        path = QPainterPath()
        for line in drawing().lines:
            points = [placed().point(*point) for point in line.points]
            path.moveTo(points[0])
            for i in range(1, len(points), 3):
                path.cubicTo(*points[i : i + 3])
        for ink, width in ((look.PAPER, weight_px + 3.0), (look.INK, weight_px)):
            painter.setPen(QPen(ink, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
            painter.drawPath(path)

    own, true = laid(replace(BARE, weight_px=weight_px), placed()), image_codes(painted(WIDE, HIGH, 1.0, paint))
    inked = (true != GROUND).sum()
    assert (np.abs(own - true) > 100).sum() < 0.01 * inked
    assert abs(own.astype(float).sum() - true.sum()) / inked < 2.0


def test_landmarks_are_rings_and_named_when_close() -> None:
    marked = replace(BARE, landmarks=True)
    far = touched(marked, placed())
    at = placed().point(200, 150)
    ring = far[np.linalg.norm(far - (at.x(), at.y()), axis=1) < 12]
    assert np.linalg.norm(ring.mean(axis=0) - (at.x(), at.y())) < 0.5
    close = placed(Sight(200, 150, 5.0))
    beside = laid(marked, close)[340:360, 470:560]
    assert (beside > 200).mean() > 0.5
    assert (laid(marked, placed())[340:360, 470:560] == GROUND).mean() > 0.9


def test_names_do_not_cover_each_other() -> None:
    from core.drawing.drawing import Drawing, Landmark

    crowd = tuple(Landmark(f"leaf {i}", 200 + 2.0 * i, 150.0) for i in range(6))
    shot = laid(Acetate.of(Drawing(SIZE, (), crowd)), placed(Sight(200, 150, 4.0)))
    plates = (shot > 200).sum()
    alone = (laid(Acetate.of(Drawing(SIZE, (), crowd[-1:])), placed(Sight(200, 150, 4.0))) > 200).sum()
    assert plates < 2.2 * alone


def test_changing_the_strength_keeps_the_paths() -> None:
    changed = replace(BARE, strength=0.3, colour=QColor("white"))
    assert changed.ink is BARE.ink


def test_the_acetate_on_a_photo_as_shot_follows_the_lens() -> None:
    homography = np.array([[5.2, 0.35, 420], [-0.2, 5.4, 300], [2e-4, 1.2e-4, 1]])
    mapping = Mapping.as_shot(homography, SIZE, lens_k1=-0.05, photo_size=(3000, 2200))
    where = placed(mapping=mapping)
    shot = laid(BARE, where)
    for y_mm in (80, 150, 220):
        at = where.point(100, y_mm)
        near = shot[int(at.y()), round(at.x()) - 9 : round(at.x()) + 9]
        assert (np.flatnonzero(near < 60) + round(at.x()) - 9 + 0.5).mean() == pytest.approx(at.x(), abs=1.0)


def test_a_divided_line_keeps_its_ends_and_course() -> None:
    points = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 1.0]])
    found = divided(points, 3.0)
    assert np.linalg.norm(np.diff(found, axis=0), axis=1).max() <= 3.0
    np.testing.assert_allclose(found[[0, 4, -1]], points)


SQUARE = np.array([[100.0, 100.0], [160.0, 100.0], [160.0, 160.0], [100.0, 160.0]])


def test_areas_are_outlined_and_numbered_within() -> None:
    shot = touched(NumberedAreas((NumberedArea("1", (SQUARE,)),)), placed())
    first, last = placed().point(100, 100), placed().point(160, 160)
    assert shot.min(axis=0) == pytest.approx((first.x(), first.y()), abs=4)
    assert shot.max(axis=0) == pytest.approx((last.x(), last.y()), abs=4)
    middle = placed().point(130, 130)
    badge = shot[np.linalg.norm(shot - (middle.x(), middle.y()), axis=1) < 20]
    assert len(badge) > 300


def test_the_chosen_area_stands_out() -> None:
    areas = NumberedAreas((NumberedArea("1", (SQUARE,)),))
    plain, chosen = (len(touched(a, placed())) for a in (areas, replace(areas, chosen="1")))
    assert chosen > plain


@pytest.mark.parametrize(
    ("outlines", "inside"),
    [
        ((SQUARE,), lambda x, y: 100 < x < 160 and 100 < y < 160),
        (
            (SQUARE, SQUARE * 0.6 + 52.0),
            lambda x, y: (100 < x < 160) and not (112 < x < 148 and 112 < y < 148),
        ),
        (
            (np.array([[0, 0], [90, 0], [90, 90], [60, 90], [60, 20], [30, 20], [30, 90], [0, 90]], float),),
            lambda x, y: (0 < x < 30 or 60 < x < 90) or y < 20,
        ),
    ],
)
def test_the_number_lies_inside(outlines: tuple[np.ndarray, ...], inside: object) -> None:
    assert inside(*point_within(outlines))  # type: ignore[operator]


def test_an_area_without_height_is_still_numbered() -> None:
    x, y = point_within((np.array([[10.0, 5.0], [20.0, 5.0], [30.0, 5.0]]),))
    assert (x, y) == (20.0, 5.0)


def test_an_arrow_goes_from_where_it_should_be_to_where_it_is() -> None:
    arrows = DriftArrows((DriftArrow("3", (100, 150), (140, 150)),))
    shot = touched(arrows, placed())
    tip = placed().point(140, 150)
    assert shot[:, 0].max() == pytest.approx(tip.x(), abs=5)
    near_tip = shot[np.abs(shot[:, 0] - (tip.x() - 11)) < 1]
    shaft = shot[np.abs(shot[:, 0] - (tip.x() - 40)) < 1]
    assert np.ptp(near_tip[:, 1]) > np.ptp(shaft[:, 1]) + 4


def test_arrows_may_go_without_their_numbers() -> None:
    arrows = DriftArrows((DriftArrow("3", (100, 150), (140, 150)),))
    plain = replace(arrows, numbered=False)
    assert 0 < len(touched(plain, placed())) < len(touched(arrows, placed()))


def test_longer_arrows_say_so() -> None:
    short = DriftArrows((DriftArrow("1", (100, 150), (104, 150)),))
    long = replace(short, times=10.0)
    assert touched(long, placed())[:, 0].max() == pytest.approx(placed().point(140, 150).x(), abs=5)
    said = touched(long, placed())
    assert (said[:, 1] > HIGH - 40).sum() > 1000
    assert (touched(short, placed())[:, 1] > HIGH - 40).sum() == 0


def test_an_arrow_of_no_length_does_no_harm() -> None:
    assert len(touched(DriftArrows((DriftArrow("1", (100, 150), (100, 150)),)), placed())) > 100


@pytest.mark.parametrize(
    ("px_per_mm", "unit", "label", "length_mm"),
    [
        (2.0, "cm", "5 cm", 50.0),
        (2.0, "mm", "50 mm", 50.0),
        (0.2, "cm", "50 cm", 500.0),
        (20.0, "cm", "5 mm", 5.0),
        (2.0, "in", "2 in", 2 * MM_PER_INCH),
        (20.0, "in", "¼ in", MM_PER_INCH / 4),
        (140.0, "mm", "1 mm", 1.0),
        (1000.0, "mm", "0.1 mm", 0.1),
    ],
)
def test_the_scale_bar_is_round_and_fits(px_per_mm: float, unit: str, label: str, length_mm: float) -> None:
    bar = scale_bar(px_per_mm, unit)
    assert bar.label == label
    assert bar.length_mm == pytest.approx(length_mm)
    assert LONGEST_PX / 2.6 < bar.length_mm * px_per_mm <= LONGEST_PX * 1.001


@pytest.mark.parametrize(("stop_width", "shown"), [(72.0, 7), (40.0, 7), (20.0, 4), (10.0, 2)])
def test_the_legend_keeps_its_labels_apart(stop_width: float, shown: int) -> None:
    stops = tuple((look.neutral(1.0 + v), f"{v:+d}.5") for v in range(7))
    labels = Legend(stops).labels_at(0.0, 0.0, stop_width, QFontMetricsF(look.font("note")))
    assert len(labels) == shown
    assert all(place.right() < after.left() for (place, _), (after, _) in pairwise(labels))
    for place, label in labels:
        index = [text for _, text in stops].index(label)
        assert place.center().x() == pytest.approx((index + 0.5) * stop_width)


@pytest.mark.parametrize("width", [700, 330, 120])
def test_the_legend_shows_every_colour(width: int) -> None:
    stops = tuple((look.neutral(1.0 + v), f"+{v}") for v in range(7))

    def paint(painter: QPainter) -> None:
        painter.fillRect(0, 0, width, 48, QColor(GROUND, GROUND, GROUND))
        Legend(stops, "difference").paint(painter, QRectF(0, 0, width, 48))

    shot = image_codes(painted(width, 48, 1.0, paint))
    for colour, _ in stops[1:-1]:
        assert (shot == colour.green()).sum() >= 9 * (min(72, (width - 80) // 7) - 2)


def test_overlays_are_only_painted_through_the_given_place(qtbot: QtBot) -> None:
    """Far away, overlays paint nothing in the viewport and do not fail."""
    where = placed(Sight(399, 299, 160.0))
    for overlay in (
        Acetate.of(drawing()),
        NumberedAreas((NumberedArea("1", (SQUARE,)),)),
        DriftArrows((DriftArrow("1", (100, 150), (140, 150)),)),
    ):
        assert len(touched(overlay, where)) == 0
    assert where.point(399, 299) == QPointF(WIDE / 2, HIGH / 2)
