"""The edge question of the reference alone, and its files, against discs of known edges."""

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from core.colorimetry import encode_srgb, luminance_of_value
from core.edge.brief import EdgeBrief, EyeSettings, FocalPoint
from core.edge.eye import eye_sigma_mm
from core.edge.kinds import EdgeKind
from core.edge.plan import KINDS
from core.edges import MeasuredReference, measure_reference, plan_reference, sigmas_as_seen
from core.edges_files import edges_as_json, write_edges
from core.errors import CancelledError, PainterError
from core.photo import load_photo
from core.size import Size
from tests.core.edge.plan_cases import discs

SIZE = Size(160, 120)
SHARP, WIDE = (45.0, 60.0), (115.0, 60.0)


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Discs of 25 mm radius and 4 steps, 0.15 and 1 mm wide, at 8 px/mm."""
    value = discs(SIZE.width_mm, SIZE.height_mm, 8, [(*SHARP, 25, 0.15, 4.0), (*WIDE, 25, 1.0, 4.0)])
    grey = np.rint(255 * encode_srgb(luminance_of_value(value))).astype(np.uint8)
    path = tmp_path_factory.mktemp("reference") / "discs.png"
    Image.fromarray(grey).save(path)
    return path


@pytest.fixture(scope="module")
def measured(file: Path) -> MeasuredReference:
    return measure_reference(load_photo(file), SIZE)


def around(measured: MeasuredReference, disc: tuple[float, float]) -> np.ndarray:
    away = np.hypot(measured.edges.x_mm - disc[0], measured.edges.y_mm - disc[1])
    return (np.abs(away - 25) < 1) & (measured.lines.line >= 0)


def test_edges_are_measured_at_the_resolution_of_a_check(measured: MeasuredReference) -> None:
    assert measured.flat.px_per_mm == 4.0
    assert measured.picture.shape == (480, 640, 3)
    assert np.median(measured.edges.sigma_mm[around(measured, WIDE)]) == pytest.approx(1.0, rel=0.1)
    assert np.median(measured.edges.sigma_mm[around(measured, SHARP)]) < 0.2
    assert measured.lines.total_mm == pytest.approx(2 * 2 * np.pi * 25, rel=0.02)
    point = measured.finder.nearest(WIDE[0] + 26, WIDE[1], 2.0)
    assert point is not None
    assert around(measured, WIDE)[point]


def test_only_a_part_of_the_photo_is_measured_when_it_is_cropped(file: Path) -> None:
    crop = [[-0.5, -0.5], [639.5, -0.5], [639.5, 479.5], [-0.5, 479.5]]  # the upper left quarter
    found = measure_reference(load_photo(file), SIZE, crop=crop)
    assert (found.edges.x_mm > 38).all()  # the left rim of the sharp disc, 20 mm from the left, twice as far


def test_the_plan_by_the_eye_takes_what_was_measured_already(measured: MeasuredReference) -> None:
    eye, foci = EyeSettings(500.0, 2.0), (FocalPoint(*SHARP, 27.0),)
    seen = sigmas_as_seen(measured, foci, eye)
    assert np.median(seen[around(measured, SHARP)]) < 0.3
    there = around(measured, WIDE)
    away = np.hypot(measured.edges.x_mm[there] - SHARP[0], measured.edges.y_mm[there] - SHARP[1]) - 27
    expected = np.hypot(1.0, eye_sigma_mm(away, eye))
    assert expected.max() > 1.15
    assert seen[there] == pytest.approx(expected, rel=0.12)
    brief = EdgeBrief(SIZE, foci, eye=eye)
    one, other = plan_reference(measured, brief), plan_reference(measured, brief, seen_mm=seen)
    assert (one.kind == other.kind).all()
    lost = np.full(len(measured.edges), np.inf)
    assert (plan_reference(measured, brief, seen_mm=lost).kind == KINDS.index(EdgeKind.LOST)).all()


def test_it_says_how_far_it_is_and_can_be_stopped(file: Path) -> None:
    told = []
    measure_reference(load_photo(file), SIZE, progress=lambda share, doing: told.append((share, doing)))
    assert [share for share, _ in told] == sorted(share for share, _ in told)
    assert told[-1][0] == 1.0

    def stop(share: float, doing: str) -> None:
        raise CancelledError("Stopped.")

    with pytest.raises(CancelledError):
        measure_reference(load_photo(file), SIZE, progress=stop)


def test_the_eye_needs_a_focal_point(measured: MeasuredReference) -> None:
    with pytest.raises(PainterError, match="Set a focal point first"):
        sigmas_as_seen(measured, (), EyeSettings())


def test_the_files_hold_the_plan(measured: MeasuredReference, tmp_path: Path) -> None:
    plan = plan_reference(measured, EdgeBrief(SIZE, (FocalPoint(*SHARP, 20.0),), wanted_hard=0.2))
    files = write_edges(measured, plan, tmp_path / "made")
    assert [file.name for file in files] == ["edges.png", "edges.pdf", "edges.json", "seen.png"]
    assert all(file.stat().st_size > 1000 for file in files)
    data = json.loads(files[2].read_text())
    assert data == json.loads(json.dumps(edges_as_json(plan)))
    assert EdgeBrief.from_json(data["brief"]) == plan.brief
    assert sum(data["budget"]["shares"].values()) == pytest.approx(1, abs=0.001)
    kinds = [kind for line in data["lines"] for kind in line["planned"]]
    whole = [str(KINDS[kind]) for line in plan.lines.lines for kind in plan.kind[line.index]]
    assert kinds == whole


def test_what_the_eye_sees_is_softer_away_from_the_focal_point(measured: MeasuredReference, tmp_path: Path) -> None:
    plan = plan_reference(measured, EdgeBrief(SIZE, (FocalPoint(*SHARP, 27.0),)))
    write_edges(measured, plan, tmp_path, eye=EyeSettings(400.0, 3.0))
    with Image.open(tmp_path / "seen.png") as made:
        seen = np.asarray(made.convert("L"), dtype=float)
    before = measured.picture[..., 0].astype(float)
    softer = 1 / np.hypot(1.0, float(eye_sigma_mm(WIDE[0] + 25 - SHARP[0] - 27, EyeSettings(400.0, 3.0))))
    assert softer < 0.8
    for disc, expected in ((SHARP, 1.0), (WIDE, softer)):
        x, y = round((disc[0] + 25) * 4), round(disc[1] * 4)
        rows = [each[y - 8 : y + 9, x - 20 : x + 20].mean(axis=0) for each in (seen, before)]
        steep = [np.abs(np.diff(row)).max() for row in rows]
        assert steep[0] / steep[1] == pytest.approx(expected, abs=0.06)


def test_where_nothing_can_be_written_it_is_said(measured: MeasuredReference, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(PainterError):
        write_edges(measured, plan_reference(measured, EdgeBrief(SIZE)), tmp_path / "file")
