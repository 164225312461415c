"""The parts of a suggestion: cutting and joining lines, the flow, and what counts against texture."""

import numpy as np
import pytest
from numpy.typing import NDArray

from core.drawing import flow
from core.drawing.sampling import sampled
from core.drawing.suggest_link import Piece, linked, met, not_doubled, strong_parts
from core.drawing.suggest_rank import weights

Array = NDArray[np.float64]


def piece(start: tuple[float, float], end: tuple[float, float], score: float = 10.0) -> Piece:
    count = round(2 * float(np.hypot(end[0] - start[0], end[1] - start[1]))) + 1
    points = np.linspace(start, end, count)
    return Piece(points, np.full(count, score), np.zeros(count, bool), False)


def arc(begin_deg: float, end_deg: float, radius: float = 20.0) -> Piece:
    angle = np.radians(np.linspace(begin_deg, end_deg, 200))
    points = np.stack([50 + radius * np.cos(angle), 50 + radius * np.sin(angle)], axis=1)
    return Piece(points, np.full(200, 10.0), np.zeros(200, bool), False)


def test_a_line_goes_on_across_a_small_gap() -> None:
    (line,) = linked([piece((0, 0), (20, 0)), piece((23, 0.5), (40, 1))], gap_mm=4.0)
    assert np.ptp(line.points[:, 0]) == 40


@pytest.mark.parametrize(
    "other",
    [
        piece((23, 4), (23, 30)),  # turns away
        piece((29, 0), (34, 0)),  # far, and short for that
        piece((22, 0), (40, 0), score=1.0),  # far weaker
    ],
)
def test_what_is_not_one_line_stays_two(other: Piece) -> None:
    assert len(linked([piece((0, 0), (20, 0)), other], gap_mm=4.0)) == 2


def test_a_straight_line_goes_on_across_a_wider_gap() -> None:
    assert len(linked([piece((0, 0), (40, 0)), piece((48, 0), (90, 0))], gap_mm=4.0)) == 1


@pytest.mark.parametrize("pieces", [[arc(5, 355)], [arc(3, 178), arc(182, 358)]])
def test_a_ring_is_closed(pieces: list[Piece]) -> None:
    (ring,) = linked(pieces, gap_mm=4.0)
    assert ring.closed


def test_a_half_ring_stays_open() -> None:
    (half,) = linked([arc(0, 180)], gap_mm=4.0)
    assert not half.closed


def test_a_line_is_led_on_to_the_one_it_meets() -> None:
    bar, leg = met([piece((0, 0), (40, 0)), piece((20, 2), (20, 30))], reach_mm=3.0)
    assert np.abs(leg.points[:, 1]).min() == 0
    assert len(bar.points) == 81


def test_a_line_beside_another_is_not_led_to_it() -> None:
    pieces = [piece((0, 0), (40, 0)), piece((0, 2), (40, 2))]
    assert [len(p.points) for p in met(pieces, reach_mm=3.0)] == [81, 81]


def test_weak_tails_are_cut_and_weak_places_bridged() -> None:
    line = piece((0, 0), (60, 0))
    score = np.full(121, 10.0)
    score[:20], score[60:63], score[110:] = 1.0, 1.0, 1.0
    (part,) = strong_parts(Piece(line.points, score, line.soft, False), faintest=2.0, share=0.25, gap=5, least=8)
    assert part.points[[0, -1], 0].tolist() == [10.0, 54.5]


def test_a_ring_cut_once_is_open_and_whole() -> None:
    ring = arc(0, 359)
    score = ring.score.copy()
    score[50:90] = 0.0
    (part,) = strong_parts(Piece(ring.points, score, ring.soft, True), faintest=2.0, share=0.25, gap=5, least=8)
    assert not part.closed
    assert len(part.points) == 160


def test_what_is_drawn_already_is_left_out() -> None:
    fine = [piece((0, 0), (30, 0))]
    (left,) = not_doubled([piece((0, 1), (60, 1))], fine, within_mm=2.5, least=8)
    assert left.points[0, 0] > 30


def test_a_lone_line_outweighs_the_same_in_a_crowd() -> None:
    lone = piece((0, 0), (30, 0))
    crowd = [piece((0, 100 + 2.5 * k), (30, 100 + 2.5 * k)) for k in range(12)]
    found = weights([lone, *crowd], 400.0, 300.0)
    assert found[0] > max(found[3:10]) + 0.15


def test_longer_stronger_and_closed_lines_weigh_more() -> None:
    def alone(one: Piece) -> float:
        return weights([one], 400.0, 300.0)[0]

    usual = alone(piece((0, 0), (30, 0)))
    ring = arc(0, 358)
    assert alone(piece((0, 0), (60, 0))) > usual
    assert alone(piece((0, 0), (30, 0), score=20.0)) > usual
    assert alone(Piece(ring.points, ring.score, ring.soft, True)) > alone(ring)


def ramp(angle_deg: float) -> NDArray[np.float32]:
    """An edge through the middle that runs at an angle, and noise."""
    rows, columns = np.mgrid[:80, :80] - 39.5
    across = -np.sin(np.radians(angle_deg)) * columns + np.cos(np.radians(angle_deg)) * rows
    edge = 50 + 20 * np.tanh(across / 2) + np.random.default_rng(0).normal(0, 3, across.shape)
    return np.repeat(edge[..., None], 3, axis=2).astype(np.float32)


@pytest.mark.parametrize("angle", [0, 25, 45, 90, 130, 170])
def test_the_flow_runs_along_the_edge(angle: float) -> None:
    tensor = flow.tensor(*flow.gradients(ramp(angle)))
    along = flow.tangents(np.full((1, 1), 1, np.float32) * tensor.mean(axis=(0, 1), keepdims=True))[0, 0]
    assert abs(np.cross([np.cos(np.radians(angle)), np.sin(np.radians(angle)), 0], [*along, 0])[2]) < 0.05


def test_smoothing_along_the_flow_takes_noise_out_and_leaves_the_edge() -> None:
    picture = ramp(25)
    along = np.broadcast_to(np.float32([np.cos(np.radians(25)), np.sin(np.radians(25))]), (80, 80, 2))
    smooth = flow.smoothed_along(picture, np.ascontiguousarray(along), 6.0)
    true = 50 + 20 * np.tanh((-np.sin(np.radians(25)) * (np.mgrid[:80, :80][1] - 39.5)
                              + np.cos(np.radians(25)) * (np.mgrid[:80, :80][0] - 39.5)) / 2)  # fmt: skip
    before, after = (np.abs(p[20:60, 20:60, 0] - true[20:60, 20:60]).mean() for p in (picture, smooth))
    assert after < 0.5 * before


def test_a_picture_is_looked_up_between_pixels() -> None:
    picture = np.add.outer(10 * np.arange(50.0), np.arange(60.0)).astype(np.float32)
    points = np.random.default_rng(0).uniform(0, 49, (40_000, 2))
    assert np.allclose(sampled(picture, points), points[:, 0] + 10 * points[:, 1], atol=0.4)
