"""How long a frame of the wall takes: two hangings of 24 megapixels in a window of 1920 × 1080, with an acetate.

Every figure is printed beside a plain smooth QPainter.drawImage of the same two pictures, timed in the same run. Frames
are timed in processor time.
"""

import os

os.environ["QT_QPA_PLATFORM"] = "offscreen"

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import cycle

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QMouseEvent, QPainter
from PySide6.QtWidgets import QApplication
from pytest_benchmark.fixture import BenchmarkFixture

from app.look import apply_look
from app.picture import Picture
from app.view import WEIGHTS_MM
from app.wall import Acetate, Hanging, Mapping, WallView
from app.wall.hanging import Hanging as Hung
from app.wall.measure import ShownMeasure, paint_measures
from app.wall.place import Place
from app.wall.plumb import paint_pin, paint_plumb
from app.wall.sight import Placed
from app.wall.squaring import SquaringGrid
from core.drawing.drawing import Drawing, Landmark, Line
from core.drawing.squaring import Squaring, squaring_grid
from core.size import Size

FRAME_MS = 16.0
WIDTH, HEIGHT = 6000, 4000
SIZE = Size(600, 400)
ROUNDS = 40
FRAME = pytest.mark.benchmark(timer=time.process_time)


def codes(seed: int) -> np.ndarray:
    """Broad shapes with a grain over them, as a photograph has."""
    random = np.random.default_rng(seed)
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH].astype(np.float32) / 400.0
    broad = 120 + 60 * np.sin(x + seed) * np.cos(y)
    grain = random.integers(-12, 13, (HEIGHT, WIDTH, 3), dtype=np.int16)
    return np.clip(broad[..., None] + grain, 0, 255).astype(np.uint8)


def traced(lines: int = 250, curves: int = 10) -> Drawing:
    """As much as a careful tracing holds: 11 m of winding lines all over the canvas."""
    random = np.random.default_rng(5)
    made = []
    for _ in range(lines):
        course = random.uniform(0, 2 * np.pi) + random.normal(0, 0.12, 3 * curves).cumsum()
        steps = 1.5 * np.column_stack([np.cos(course), np.sin(course)])
        made.append(Line(np.vstack([np.zeros((1, 2)), steps.cumsum(axis=0)]) + random.uniform((50, 50), (550, 350))))
    marks = tuple(Landmark(f"p{i}", *random.uniform((20, 20), (580, 380))) for i in range(20))
    return Drawing(SIZE, tuple(made), marks)


def test_the_drawing_is_a_full_one() -> None:
    lengths = [np.linalg.norm(np.diff(line.points, axis=0), axis=1).sum() for line in traced().lines]
    assert sum(lengths) > 11_000


@pytest.fixture(scope="module")
def arrays() -> tuple[np.ndarray, np.ndarray]:
    return codes(1), codes(2)


@pytest.fixture(scope="module")
def pictures(arrays: tuple[np.ndarray, np.ndarray]) -> tuple[Picture, Picture, Picture]:
    return Picture.from_srgb(arrays[0]), Picture.from_srgb(arrays[1]), Picture.from_grey(arrays[0][..., 1].copy())


@pytest.fixture(scope="module")
def wall(pictures: tuple[Picture, Picture, Picture]) -> Iterator[WallView]:
    application = QApplication.instance() or QApplication([])
    assert isinstance(application, QApplication)
    apply_look(application, high_contrast=False)
    made = WallView(SIZE)
    made.resize(1920, 1080)
    flat, acetate = Mapping.flat(10.0), Acetate.of(traced())
    made.hang([Hanging(title, picture, flat, (acetate,)) for title, picture in zip("ab", pictures, strict=False)])
    made.show()
    application.processEvents()
    repaint(made)
    yield made
    made.close()
    made.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def fitted(wall: WallView) -> WallView:
    wall.clear_place()
    wall.fit()
    repaint(wall)
    return wall


@pytest.fixture(scope="module")
def reference_ms(wall: WallView, pictures: tuple[Picture, Picture, Picture]) -> float:
    """Both full pictures scaled smoothly into an image of the wall's size, by QPainter alone."""
    target = QImage(1920, 1080, QImage.Format.Format_RGB32)

    def draw() -> None:
        painter = QPainter(target)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        for picture, sheet in zip(pictures, wall.sheets, strict=False):
            width = float(sheet.width() - 20)
            painter.drawImage(QRectF(0, 0, width, width * HEIGHT / WIDTH), picture.image)
        painter.end()

    return best_ms(draw)


def best_ms(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    times = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return 1000 * min(times)


def repaint(wall: WallView) -> None:
    for sheet in wall.sheets:
        sheet.repaint()


def measure(benchmark: BenchmarkFixture, name: str, step: Callable[[], object], reference: float) -> None:
    """Print the best of many frames beside the bar and beside plain drawImage in the same run."""
    benchmark.pedantic(step, rounds=ROUNDS, warmup_rounds=3)
    found = benchmark.stats.stats
    print(
        f"\n{name:<44} best {1000 * found.min:6.2f} of {FRAME_MS:g} ms, median {1000 * found.median:6.2f} ms, "
        f"{1000 * found.min / reference:5.2f} × plain drawImage ({reference:.2f} ms)"
    )


@FRAME
def test_toggle(
    benchmark: BenchmarkFixture, fitted: WallView, pictures: tuple[Picture, ...], reference_ms: float
) -> None:
    looks = cycle([replace(fitted.hangings[0], picture=pictures[2]), fitted.hangings[0]])
    before = fitted.hangings[0]

    def step() -> None:
        fitted.rehang(0, next(looks))
        repaint(fitted)

    measure(benchmark, "colour and grey", step, reference_ms)
    fitted.rehang(0, before)


@FRAME
def test_first_blink(benchmark: BenchmarkFixture, fitted: WallView, reference_ms: float) -> None:
    """Without the frames that are kept: as after every zoom or pan."""

    def step() -> None:
        for sheet in fitted.sheets:
            sheet._frames.clear()  # type: ignore[attr-defined]
        fitted.blink(True)
        repaint(fitted)
        fitted.blink(False)

    measure(benchmark, "blink, first time", step, reference_ms)


@FRAME
def test_blink(benchmark: BenchmarkFixture, fitted: WallView, reference_ms: float) -> None:
    on = cycle([True, False])

    def step() -> None:
        fitted.blink(next(on))
        repaint(fitted)

    measure(benchmark, "blink", step, reference_ms)
    fitted.blink(False)


@FRAME
@pytest.mark.parametrize("start", [1.0, 4.0, 12.0])
def test_zoom(benchmark: BenchmarkFixture, fitted: WallView, reference_ms: float, start: float) -> None:
    fit = fitted.sight.zoom
    fitted.zoom_by(start)
    factors = np.random.default_rng(1).uniform(1.02, 1.08, 1000).tolist()

    def step() -> None:
        factor = factors.pop()
        fitted.zoom_by(factor if fitted.sight.zoom < start * fit * 1.3 else 1 / factor**5)
        repaint(fitted)

    measure(benchmark, f"zoom at {start:g} × fit", step, reference_ms)


@FRAME
@pytest.mark.parametrize("zoom", [1.0, 4.0, 12.0, 100.0])
def test_pan(benchmark: BenchmarkFixture, fitted: WallView, reference_ms: float, zoom: float) -> None:
    fitted.zoom_by(zoom)
    steps = np.random.default_rng(2).normal(0, 9, (1000, 2)).tolist()

    def step() -> None:
        fitted.pan_by(*steps.pop())
        repaint(fitted)

    measure(benchmark, f"pan at {zoom:g} × fit", step, reference_ms)


@FRAME
def test_acetate_strength(benchmark: BenchmarkFixture, fitted: WallView, reference_ms: float) -> None:
    strengths = cycle(np.linspace(0.2, 1.0, 9).tolist())
    before = fitted.hangings[0]
    acetate = before.overlays[0]
    assert isinstance(acetate, Acetate)

    def step() -> None:
        fitted.set_overlays(0, [replace(acetate, strength=next(strengths))])
        repaint(fitted)

    measure(benchmark, "acetate's strength", step, reference_ms)
    fitted.rehang(0, before)


@FRAME
@pytest.mark.parametrize("zoom", [1.0, 2.0, 4.0])
def test_heaviest_lines(benchmark: BenchmarkFixture, fitted: WallView, reference_ms: float, zoom: float) -> None:
    """Panning with the heaviest weight; close up the lines are too wide for quick pieces."""
    before = fitted.hangings[0].overlays[0]
    assert isinstance(before, Acetate)
    for index in (0, 1):
        fitted.set_overlays(index, [replace(before, weight_mm=WEIGHTS_MM[-1])])
    fitted.zoom_by(zoom)
    steps = np.random.default_rng(2).normal(0, 9, (1000, 2)).tolist()

    def step() -> None:
        fitted.pan_by(*steps.pop())
        repaint(fitted)

    measure(benchmark, f"pan at {zoom:g} × fit, lines of {WEIGHTS_MM[-1]:g} mm", step, reference_ms)
    for index in (0, 1):
        fitted.set_overlays(index, [before])


@FRAME
@pytest.mark.parametrize("kinds", ["contours only", "three kinds"])
@pytest.mark.parametrize("lines", [250, 2000])
def test_zoom_by_kinds_and_lines(
    benchmark: BenchmarkFixture, fitted: WallView, reference_ms: float, lines: int, kinds: str
) -> None:
    """Dashes cost pieces of their own; 2,000 lines are shown roughly until the sight rests."""
    before = fitted.hangings[0].overlays[0]
    layers = ("contour", "inner form", "shadow edge") if kinds == "three kinds" else ("contour",)
    drawing = traced(lines, 5 if lines > 1000 else 10)
    every = tuple(replace(line, layer=layers[k % len(layers)]) for k, line in enumerate(drawing.lines))
    acetate = Acetate.of(replace(drawing, lines=every))
    for index in (0, 1):
        fitted.set_overlays(index, [acetate])
    repaint(fitted)
    factors = cycle([1.07, 1.03, 1 / 1.07, 1 / 1.03])

    def step() -> None:
        fitted.zoom_by(next(factors))
        repaint(fitted)

    measure(benchmark, f"zoom, {lines} lines, {kinds}", step, reference_ms)
    for index in (0, 1):
        fitted.set_overlays(index, [before])


@FRAME
def test_pointer(benchmark: BenchmarkFixture, fitted: WallView, reference_ms: float) -> None:
    places = cycle([QPointF(300 + 9 * i, 400 + 5 * i) for i in range(30)])
    sheet, none = fitted.sheets[0], Qt.MouseButton.NoButton

    def step() -> None:
        at = next(places)
        QApplication.sendEvent(
            sheet, QMouseEvent(QEvent.Type.MouseMove, at, at, none, none, Qt.KeyboardModifier.NoModifier)
        )
        QApplication.processEvents()

    measure(benchmark, "pointer", step, reference_ms)


@FRAME
def test_ring_of_a_place(benchmark: BenchmarkFixture, fitted: WallView, reference_ms: float) -> None:
    pulses = cycle(np.linspace(0, 1, 20).tolist())
    place = Place(300, 200, 40)

    def step() -> None:
        for sheet in fitted.sheets:
            sheet.ring_place(place, next(pulses))  # type: ignore[attr-defined]
        QApplication.processEvents()

    measure(benchmark, "ring of a place", step, reference_ms)


class Tool:
    """What the measuring paints: plumb and level lines through the pointer and through a pin, and two measures."""

    def __init__(self) -> None:
        self.pointer = (300.0, 200.0)

    def paint(self, painter: QPainter, placed: Placed) -> None:
        paint_plumb(painter, placed, self.pointer, SIZE)
        paint_pin(painter, placed, (210, 160), SIZE, "→ 21.00  ↓ 16.00 cm", held=False)
        shown = [ShownMeasure((280, 180), end, "1", "8.60 cm · 1.42 heads") for end in ((330, 250), self.pointer)]
        paint_measures(painter, placed, shown)

    def take(self, at: tuple[float, float], hanging: Hung) -> bool:
        return False

    def move(self, at: tuple[float, float], hanging: Hung) -> None:
        """Nothing is held."""

    def drop(self, at: tuple[float, float], hanging: Hung, *, moved: bool) -> None:
        """Nothing is held."""

    def cancel(self) -> None:
        """Nothing is held."""


@pytest.fixture
def measured(fitted: WallView) -> Iterator[tuple[WallView, Tool]]:
    """With a squaring grid of 12 × 8 cells, halves, thirds and diagonals under the acetate, and measuring over it."""
    before, tool = fitted.hangings, Tool()
    wanted = Squaring(12, 8, halves=True, thirds=True, diagonals=True)
    grid = SquaringGrid(squaring_grid(SIZE, wanted))
    for index, hanging in enumerate(before):
        fitted.set_overlays(index, [grid, *hanging.overlays])
    fitted.use(tool)
    repaint(fitted)
    yield fitted, tool
    for index, hanging in enumerate(before):
        fitted.rehang(index, hanging)
    for sheet in fitted.sheets:
        sheet.hands.grasp = None  # type: ignore[attr-defined]
        sheet.paint_over(lambda painter, placed: None)  # type: ignore[attr-defined]


@FRAME
@pytest.mark.parametrize("zoom", [1.0, 4.0, 12.0])
def test_pan_with_grid_and_measures(
    benchmark: BenchmarkFixture, measured: tuple[WallView, Tool], reference_ms: float, zoom: float
) -> None:
    wall, _ = measured
    wall.zoom_by(zoom)
    steps = np.random.default_rng(2).normal(0, 9, (1000, 2)).tolist()

    def step() -> None:
        wall.pan_by(*steps.pop())
        QApplication.processEvents()

    measure(benchmark, f"pan at {zoom:g} × fit, grid and measures", step, reference_ms)


@FRAME
def test_zoom_with_grid_and_measures(
    benchmark: BenchmarkFixture, measured: tuple[WallView, Tool], reference_ms: float
) -> None:
    wall, _ = measured
    factors = cycle([1.07, 1.03, 1 / 1.07, 1 / 1.03])

    def step() -> None:
        wall.zoom_by(next(factors))
        QApplication.processEvents()

    measure(benchmark, "zoom, grid and measures", step, reference_ms)


@FRAME
def test_measuring_follows_the_pointer(
    benchmark: BenchmarkFixture, measured: tuple[WallView, Tool], reference_ms: float
) -> None:
    """The picture stays: only what lies over it is painted anew, in both hangings."""
    wall, tool = measured
    places = cycle([(200.0 + 7 * i, 120.0 + 5 * i) for i in range(30)])

    def step() -> None:
        tool.pointer = next(places)
        repaint(wall)

    measure(benchmark, "measuring follows the pointer", step, reference_ms)
