"""The kinds of line on the acetate; and that thousands of lines may be shown roughly while moved, never at rest."""

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter, QRegion
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app import look
from app.picture import painted
from app.wall import Acetate, Mapping, Placed, Sight, acetate
from app.wall.acetate import Ink
from app.wall.kinds import CONTOUR, INNER_FORM, SHADOW_EDGE
from app.wall.layers import Layers
from app.wall.line_work import LineWork, broken
from app.wall.sheet import Sheet
from core.drawing.drawing import Drawing, Line
from core.size import Size

from .wall_support import hanging, image_codes, plain

WIDE, HIGH = 900, 700
ALIKE = 12  # codes: where lines cross, the order in which they are painted is rounded differently
SIZE = Size(400, 300)
WHOLE = Sight(200, 150, 2.0)
FLAT = Mapping.flat(5.0)

pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture(autouse=True)
def no_layers_yet(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(acetate, "_layers", Layers())


def placed(sight: Sight = WHOLE, *, moving: bool = False, mapping: Mapping = FLAT, ratio: float = 1.0) -> Placed:
    return Placed(mapping, sight, QRectF(0, 0, WIDE, HIGH), ratio, is_moving=moving)


def shot(shown: Acetate, where: Placed) -> np.ndarray:
    """(HIGH, WIDE) codes of the acetate on white."""

    def paint(painter: QPainter) -> None:
        painter.fillRect(0, 0, WIDE, HIGH, QColor("white"))
        shown.paint(painter, where)

    return image_codes(painted(WIDE, HIGH, where.device_pixel_ratio, paint))


def level(layer: str, y_mm: float = 150.0) -> Line:
    return Line.through(np.array([[60.0, y_mm], [340.0, y_mm]]), layer=layer)


def apart(one: np.ndarray, other: np.ndarray) -> int:
    """By how many codes two pictures differ at most."""
    return int(np.abs(one - other).max())


def many(lines: int = 1500, seed: int = 3) -> Drawing:
    """More than can be painted within a frame."""
    random = np.random.default_rng(seed)
    made = []
    for number in range(lines):
        start = random.uniform((20, 20), (380, 280))
        points = start + random.normal(0, 2.0, (13, 2)).cumsum(axis=0)
        made.append(
            Line(points.clip(0, (400, 300)), layer=("contour", "inner form", "shadow edge")[3 * number // lines])
        )
    return Drawing(SIZE, tuple(made))


def ink_of(layer: str, **options: object) -> np.ndarray:
    """How dark each column of a level line is: pixels of ink across it, from x = 200 to x = 600."""
    shown = Acetate.of(Drawing(SIZE, (level(layer),)), **options)
    codes = shot(shown, placed())[330:370, 200:600]
    return (codes < 128).sum(axis=0)


def test_kinds_differ_by_weight_and_dash() -> None:
    contour, inner, shadow = (ink_of(kind.layer, weight_px=8.0) for kind in (CONTOUR, INNER_FORM, SHADOW_EDGE))
    assert contour.mean() == pytest.approx(8.0, abs=0.6)
    assert inner.mean() == pytest.approx(8.0 * 1.2 / 2.6, abs=0.6)
    assert contour.min() > 0
    assert inner.min() > 0
    assert shadow.max() == pytest.approx(8.0 * 2.0 / 2.6, abs=0.6)
    gaps = np.flatnonzero(np.diff((shadow == 0).astype(int)) == 1)
    assert len(gaps) >= 5
    assert 0.1 < (shadow == 0).mean() < 0.5


@pytest.mark.parametrize("weight_px", [2.0, 2.6, 8.0])
def test_lines_of_any_other_layer_look_like_contours(weight_px: float) -> None:
    assert (ink_of("layer from a file", weight_px=weight_px) == ink_of("contour", weight_px=weight_px)).all()


@pytest.mark.parametrize("weight_mm", [0.3, 2.0])
@pytest.mark.parametrize("zoom", [1.0, 4.0, 16.0])
def test_dashes_are_dashes_at_every_weight_and_zoom(weight_mm: float, zoom: float) -> None:
    """A dash is longer than it is wide, and the gap after it can be seen."""
    shown = Acetate.of(Drawing(SIZE, (level("shadow edge"),)), weight_mm=weight_mm)
    row = shot(shown, placed(Sight(200, 150, zoom)))[346:354].min(axis=0) < 190
    row = row[np.flatnonzero(row)[0] :]
    ends = np.flatnonzero(np.diff(row.astype(int)))
    dashes, gaps = np.diff(ends)[1::2], np.diff(ends)[0::2]
    assert dashes.min() > 1.5 * weight_mm * zoom * SHADOW_EDGE.share
    assert gaps.min() >= 2


def test_a_broken_line_begins_and_ends_with_a_dash_and_keeps_to_the_line() -> None:
    """Lines of 100 and 20 mm in dashes of 9 and gaps of 6: 6 gaps and 1; one of 10 mm, too short for two, is whole."""
    lengths, turn = (100.0, 20.0, 10.0), np.array([0.6, 0.8])
    starts = np.concatenate([np.linspace(0, length, 12)[:-1] for length in lengths])[:, None] * turn
    ends = np.concatenate([np.linspace(0, length, 12)[1:] for length in lengths])[:, None] * turn
    line = np.repeat([0, 1, 2], 11)
    begin, end, owner = broken(starts, ends, line, 9.0, 6.0)
    for number, (length, gaps) in enumerate(zip(lengths, (6, 1, 0), strict=True)):
        one, other = (at[owner == number] @ turn for at in (begin, end))
        assert one[0] == 0.0
        assert other[-1] == pytest.approx(length)
        between = one[1:] - other[:-1]
        wide = between[between > 1e-9]
        assert len(wide) == gaps
        unit = length / (9.0 + 15.0 * gaps)
        assert wide == pytest.approx(6.0 * unit)
        assert (other - one).sum() == pytest.approx(9.0 * unit * (gaps + 1))
        meeting = between < 1e-9
        assert meeting.any()
        exactly = (end[owner == number][:-1] == begin[owner == number][1:]).all(axis=1)
        assert (exactly == meeting).all()  # or a tooth would show where two pieces of a dash meet


def test_what_is_drawn_by_clip_looks_like_all_of_it() -> None:
    drawing = many(400)
    whole = shot(Acetate(Ink(drawing)), placed())

    def bands(painter: QPainter) -> None:
        painter.fillRect(0, 0, WIDE, HIGH, QColor("white"))
        for top in range(0, HIGH, 50):
            painter.setClipRegion(QRegion(0, top, WIDE, 50))
            LineWork(drawing.lines).stroke(painter, placed(), look.INK, look.px(2.0))

    assert apart(image_codes(painted(WIDE, HIGH, 1.0, bands)), whole) <= ALIKE


@pytest.mark.parametrize("ratio", [1.0, 1.5])
def test_while_moving_it_is_rough_and_at_rest_as_if_painted_afresh(ratio: float) -> None:
    drawing = many()
    shown, near = Acetate(Ink(drawing)), Sight(210, 140, 2.6)
    shot(shown, placed(ratio=ratio))
    rough = shot(shown, placed(near, moving=True, ratio=ratio))
    fresh = shot(Acetate(Ink(drawing)), placed(near, ratio=ratio))
    assert apart(rough, fresh) > 50
    assert np.corrcoef(rough.ravel(), fresh.ravel())[0, 1] > 0.8  # the lines are where they should be
    steps = 0
    while not shown.is_sharp(placed(near, moving=True, ratio=ratio)):
        shown.sharpen(placed(near, moving=True, ratio=ratio))
        steps += 1
    assert steps >= 5
    assert apart(shot(shown, placed(near, ratio=ratio)), fresh) <= ALIKE


def test_zooming_out_shows_what_lies_about_the_nearer_view() -> None:
    shown = Acetate(Ink(many()))
    for sight in (WHOLE, Sight(200, 150, 2.3)):
        shot(shown, placed(sight))
    out = Sight(200, 150, 2.1)
    rough, fresh = shot(shown, placed(out, moving=True)), shot(Acetate(Ink(many())), placed(out))
    assert (rough[:, 60:90] < 200).sum() > 0.5 * (fresh[:, 60:90] < 200).sum() > 0


def test_what_no_layer_covers_is_painted_at_once() -> None:
    shown, drawing = Acetate(Ink(many())), many()
    shot(shown, placed(Sight(100, 100, 2.2)))
    far = Sight(300, 200, 2.2001)
    assert apart(shot(shown, placed(far, moving=True)), shot(Acetate(Ink(drawing)), placed(far))) <= ALIKE


@pytest.mark.parametrize("ratio", [1.0, 1.5])
@pytest.mark.parametrize("way", [(30.0, -14.0), (-200.0, 90.0)])
def test_moved_by_whole_pixels_it_stays_sharp(way: tuple[float, float], ratio: float) -> None:
    drawing = many()
    shown = Acetate(Ink(drawing))
    shot(shown, placed(ratio=ratio))
    there = placed(placed().panned(*way), moving=True, ratio=ratio)
    moved = shot(shown, there)
    assert shown.is_sharp(there)
    assert apart(moved, shot(Acetate(Ink(drawing)), there)) <= ALIKE


def test_a_part_of_a_pixel_is_made_up_for_at_rest_and_does_not_add_up() -> None:
    drawing = many()
    shown, sight = Acetate(Ink(drawing)), WHOLE
    shot(shown, placed())
    for _ in range(7):
        sight = placed(sight).panned(3.4, 2.3)
        moved = shot(shown, placed(sight, moving=True))
    assert not shown.is_sharp(placed(sight))
    fresh = shot(Acetate(Ink(drawing)), placed(sight))
    assert np.corrcoef(moved.ravel(), fresh.ravel())[0, 1] > 0.85


@pytest.mark.parametrize("lines", [40, 1500])
def test_a_line_more_or_less_is_mended_as_if_painted_afresh(lines: int) -> None:
    ink = Ink(many(lines))
    shot(Acetate(ink), placed())
    more = (*ink.drawing.lines[:7], level("inner form"), *ink.drawing.lines[7:], level("shadow edge", 80.0))
    for changed in (Drawing(SIZE, more), Drawing(SIZE, more[3:]), Drawing(SIZE, ())):
        ink = ink.after(changed)
        mended = shot(Acetate(ink), placed())
        assert apart(mended, shot(Acetate(Ink(changed)), placed())) <= ALIKE


def test_lines_stay_in_place_when_a_finer_picture_comes() -> None:
    shown = Acetate(Ink(many(40)))
    coarse, fine = (shot(shown, placed(mapping=Mapping.flat(density))) for density in (1.3, 9.0))
    assert (coarse == fine).all()
    assert (coarse < 128).any()


def test_a_sheet_comes_to_rest_by_itself(qtbot: QtBot) -> None:
    drawing = many()
    sheet, afresh = Sheet(), Sheet()
    for each in (sheet, afresh):
        qtbot.addWidget(each)
        each.resize(WIDE, HIGH)
    near = Sight(210, 140, 2.6)
    sheet.show_hanging(hanging("Reference", plain(200), overlays=(Acetate(Ink(drawing)),)))
    sheet.look_at(WHOLE)
    sheet.grab()
    sheet.look_at(near)
    rough = image_codes(sheet.grab().toImage())
    afresh.show_hanging(hanging("Reference", plain(200), overlays=(Acetate(Ink(drawing)),)))
    afresh.look_at(near)
    wanted = image_codes(afresh.grab().toImage())
    assert apart(rough, wanted) > 50
    qtbot.waitUntil(lambda: not sheet.placed().is_moving)
    QApplication.processEvents()
    assert apart(image_codes(sheet.grab().toImage()), wanted) <= ALIKE
