"""Following an edge from place to place: the truth is the edge that was rendered."""

import numpy as np
import pytest

from core.drawing.follow import Way
from tests.core.drawing.test_snap import ALLOWED_MM, CENTRE, RADIUS, disc, off_the_disc, picture, places


def on_disc(turn_deg: float) -> tuple[float, float]:
    turn = np.radians(turn_deg)
    return CENTRE[0] + RADIUS * np.cos(turn), CENTRE[1] + RADIUS * np.sin(turn)


@pytest.mark.parametrize("to_deg", [20.0, 90.0, 170.0])
def test_the_way_goes_round_the_disc_and_not_across(to_deg):
    way = Way(disc(contrast=3.0, soft=0.25, noise=0.05), *on_disc(0.0)).to(*on_disc(to_deg))
    assert off_the_disc(way).max() <= 2 * ALLOWED_MM
    length = np.linalg.norm(np.diff(way, axis=0), axis=1).sum()
    assert length == pytest.approx(np.radians(to_deg) * RADIUS, rel=0.03)
    assert way[0] == pytest.approx(on_disc(0.0))
    assert way[-1] == pytest.approx(on_disc(to_deg))


def test_where_there_is_no_edge_the_way_is_straight():
    x, _ = places()
    way = Way(picture(np.full_like(x, 1.0), contrast=0.0, soft=1.0, noise=0.02), 20.0, 20.0).to(70.0, 30.0)
    assert way == pytest.approx(np.array([[20.0, 20.0], [70.0, 30.0]]))


def test_a_place_out_of_reach_is_gone_to_straight():
    way = Way(disc(contrast=3.0, soft=0.25, noise=0.0), 50.0, 40.0, reach_mm=10.0)
    assert way.reaches(55.0, 40.0)
    assert not way.reaches(80.0, 40.0)
    assert not way.reaches(50.0, -1.0)
    assert way.to(80.0, 40.0) == pytest.approx(np.array([[50.0, 40.0], [80.0, 40.0]]))
