"""The parts that drift is made of: the smooth field, the whole part, matching, what repeats, and confidence."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.stats import chi2, norm
from skimage.registration import phase_cross_correlation

from core.drawing import drift_confidence as trust
from core.drawing.drift_brushwork import fineness, presence, suited
from core.drawing.drift_features import directions
from core.drawing.drift_field import Evidence, Prior, doubt, pliant_field, settled_field, together
from core.drawing.drift_grid import Grid
from core.drawing.drift_match import Readings, Window, read_windows
from core.drawing.drift_repeats import distinctness
from core.drawing.drift_whole import WholeDrift, fit_whole
from core.size import Size
from tests.studio import references
from tests.studio.displacement import Displacement

SIZE = Size(400, 300)
GRID = Grid.of(SIZE, 10.0)


def _information(value: float) -> NDArray[np.float64]:
    return np.broadcast_to([value, 0.0, value], (GRID.height, GRID.width, 3)).copy()


def _readings(drift: NDArray[np.float64], information: NDArray[np.float64], overlap: float) -> Readings:
    return Readings(drift, information, np.ones(drift.shape[:2]), overlap)


class TestField:
    def test_the_prior_has_the_spread_it_states(self) -> None:
        """Lindgren, Rue and Lindstrom 2011: variance 1 / (4 pi kappa^2 tau^2), away from the border."""
        nothing = Evidence(np.zeros((GRID.height, GRID.width, 2)), _information(0.0))
        covariance = Prior.of(GRID, 60.0, 1.0).with_evidence(nothing).covariance()
        inside = covariance[8:-8, 8:-8]
        assert np.sqrt(inside[..., [0, 2]].mean()) == pytest.approx(2.0, rel=0.15)
        assert abs(inside[..., 1].mean()) < 0.4

    def test_the_posterior_is_the_solution_of_its_normal_equations(self) -> None:
        rng = np.random.default_rng(0)
        small = Grid(SIZE, 6, 5)
        root = Prior.of(small, 80.0, 1.0).root.toarray()
        drift, spread = rng.normal(size=(5, 6, 2)), rng.uniform(0.5, 2, (5, 6))
        evidence = Evidence(drift, np.stack([spread, 0.3 * spread, spread], axis=-1))
        one, both = np.diag(spread.ravel()), np.diag(0.3 * spread.ravel())
        system = np.block([[root.T @ root + one, both], [both, root.T @ root + one]])
        pull = np.block([[one, both], [both, one]]) @ drift.reshape(-1, 2).T.ravel()
        expected = np.linalg.solve(system, pull).reshape(2, 5, 6).transpose(1, 2, 0)
        posterior = Prior.of(small, 80.0, 1.0).with_evidence(evidence)
        assert posterior.mean() == pytest.approx(expected, abs=1e-9)
        nearly = Prior.of(small, 80.0, 1.0).with_evidence(evidence, give=np.full(30, 0.8))
        again = Prior.of(small, 80.0, 1.0).with_evidence(evidence, like=nearly).mean()
        assert again == pytest.approx(expected, abs=1e-3)

    def test_the_uncertainty_of_firm_readings_is_theirs(self) -> None:
        firm = Evidence(np.zeros((GRID.height, GRID.width, 2)), _information(1e4))
        covariance = Prior.of(GRID, 80.0, 1.0).with_evidence(firm).covariance()
        assert covariance[..., 0].mean() == pytest.approx(1e-4, rel=0.1)

    def test_neighbours_vouch_for_one_another_as_far_as_is_allowed(self) -> None:
        """One firm spot: what is 60 mm off is hardly better known for it by a short reach, and is by a long one."""
        information = _information(0.0)
        information[13:17, 18:22] = (50.0, 0.0, 50.0)
        near, far = (trust.sigmas(doubt(GRID, information, 1.0, reach=reach))[0] for reach in (40.0, 120.0))
        assert near[15, 20] < 0.5
        assert far[15, 20] < 0.5
        assert near[15, 26] > 1.5
        assert far[15, 26] < 0.8 * near[15, 26]

    def test_strays_are_set_aside(self) -> None:
        truth = np.stack([GRID.nodes_mm[..., 0] / 100, GRID.nodes_mm[..., 1] / 150], axis=-1)
        seen = truth.copy()
        seen[3::7, 3::7] += 6.0
        field, (weight,) = pliant_field(GRID, [_readings(seen, _information(20.0), 2.0)], 1.0)
        assert np.abs(field - truth).max() < 1.5
        assert weight[3::7, 3::7].max() < 0.1
        assert np.median(weight) > 0.9

    def test_one_form_out_of_place_is_kept_and_noise_is_not(self) -> None:
        nodes = GRID.nodes_mm
        away = np.linalg.norm(nodes - (200.0, 150.0), axis=-1)
        truth = np.stack([4 * np.exp(-(away**2) / (2 * 25.0**2)), np.zeros_like(away)], axis=-1)
        noisy = truth + np.random.default_rng(1).normal(0, 0.3, truth.shape)
        evidence = Evidence(noisy, _information(1 / 0.3**2))
        start = Prior.of(GRID, 80.0, 1.0).with_evidence(evidence).mean()
        settled = settled_field(GRID, evidence, np.zeros_like(truth), start, 1.0)
        assert settled[..., 0].max() == pytest.approx(4.0, abs=0.6)
        assert np.abs(settled - truth)[away > 100].std() < 0.12

    def test_two_edges_make_a_corner(self) -> None:
        """One set of readings knows x, the other y; together they know both."""
        shape = (GRID.height, GRID.width)
        across = _readings(np.broadcast_to([3.0, 9.0], (*shape, 2)), np.broadcast_to([5.0, 0.0, 0.0], (*shape, 3)), 1.0)
        down = _readings(np.broadcast_to([9.0, -1.0], (*shape, 2)), np.broadcast_to([0.0, 0.0, 5.0], (*shape, 3)), 1.0)
        one = np.ones(shape)
        assert together([across, down], [one, one]).drift[3, 3] == pytest.approx([3.0, -1.0], abs=1e-6)


class TestWhole:
    @given(
        st.floats(-8, 8), st.floats(-8, 8), st.floats(-3, 3), st.floats(0.97, 1.03), st.sampled_from([0.0, 5.0, 400.0])
    )
    def test_any_similarity_is_found_again(self, x: float, y: float, turn: float, scale: float, firm: float) -> None:
        """The simulated painter's own formula, on 1200 places that know x, y, or only x where ``firm`` is 0."""
        truth = Displacement(SIZE, (x, y), turn, scale)
        points = GRID.nodes_mm.reshape(-1, 2)
        information = np.broadcast_to([50.0, 0.0, 50.0], (len(points), 3)).copy()
        information[::2, 2] = firm
        found = fit_whole(points, truth.at(points), information, SIZE)
        assert found.shift_mm == pytest.approx((x, y), abs=1e-6)
        assert found.turn_deg == pytest.approx(turn, abs=1e-6)
        assert found.scale == pytest.approx(scale, abs=1e-8)
        assert found.at(points) == pytest.approx(truth.at(points), abs=1e-6)

    def test_signs(self) -> None:
        """Clockwise as seen (y down): what is right of the centre goes down."""
        assert WholeDrift(SIZE, turn_deg=1.0).at(np.array([300.0, 150.0]))[1] > 1.7
        assert WholeDrift(SIZE, scale=1.01).at(np.array([300.0, 150.0])) == pytest.approx([1.0, 0.0])
        assert WholeDrift(SIZE, (1.5, -0.5)).at(np.array([10.0, 10.0])) == pytest.approx([1.5, -0.5])

    def test_a_head_that_strayed_does_not_turn_the_rest(self) -> None:
        truth = Displacement(SIZE, (1.0, 0.5), 0.3, 1.004, ((130.0, 120.0, 5.0, -3.0, 45.0),))
        points = GRID.nodes_mm.reshape(-1, 2)
        drift = truth.at(points) + np.random.default_rng(0).normal(0, 0.15, points.shape)
        information = np.broadcast_to([50.0, 0.0, 50.0], (len(points), 3)).copy()
        information[np.linalg.norm(points - (130, 120), axis=1) < 60] *= 100  # and the head is the sharpest part
        found = fit_whole(points, drift, information, SIZE)
        assert found.shift_mm == pytest.approx((1.0, 0.5), abs=0.3)
        assert found.turn_deg == pytest.approx(0.3, abs=0.1)
        assert found.scale == pytest.approx(1.004, abs=0.002)

    def test_nothing_known_is_said(self) -> None:
        points = GRID.nodes_mm.reshape(-1, 2)
        found = fit_whole(points, np.ones_like(points), np.zeros((len(points), 3)), SIZE)
        assert found.shift_mm == (0.0, 0.0)
        assert found.shift_sigma_mm == np.inf


def _window(search_px: int = 2) -> Window:
    return Window(px_per_mm=1.0, search_px=search_px, sigma_mm=20.0, stroke_mm2=10.0)


class TestMatching:
    def test_a_shift_below_a_pixel_agrees_with_phase_correlation(self) -> None:
        """scikit-image's phase_cross_correlation is the outside check."""
        large = np.log(0.02 + references.linear(references.pixels("coffee", SIZE, width=4000))[..., 1])
        first = large.reshape(300, 10, 400, 10).mean(axis=(1, 3)).astype(np.float32)
        moved = np.roll(large, (6, -9), axis=(0, 1)).reshape(300, 10, 400, 10).mean(axis=(1, 3)).astype(np.float32)
        outside = -phase_cross_correlation(first, moved, upsample_factor=50)[0][::-1]
        seen = np.ones((300, 400), np.float32)
        grid = Grid.of(SIZE, 20.0)
        found = read_windows(directions([first], 1.0, 1.0), directions([moved], 1.0, 1.0), seen, grid, _window())
        middle = np.median(found.drift[3:-3, 3:-3], axis=(0, 1))
        assert outside == pytest.approx([-0.9, 0.6], abs=0.1)
        assert middle == pytest.approx(outside, abs=0.1)

    def test_an_edge_holds_across_only(self) -> None:
        x = np.broadcast_to(np.arange(400, dtype=np.float32), (300, 400))
        edge = (1 / (1 + np.exp(np.clip(200 - x, -50, 50)))).astype(np.float32)
        seen = np.ones((300, 400), np.float32)
        planes = directions([edge], 1.0, 1.0)
        grid = Grid.of(SIZE, 20.0)
        held = read_windows(planes, planes, seen, grid, _window()).information[7, 10]
        assert held[0] > 100 * abs(held[2])

    def test_light_and_contrast_do_not_matter(self) -> None:
        picture = np.log(0.02 + references.linear(references.pixels("chelsea", SIZE, width=400))[..., 1])
        slope = np.linspace(0, 1, 400, dtype=np.float32)
        one, other = directions([picture], 1.0, 1.0), directions([0.5 * picture + slope], 1.0, 1.0)
        strong = np.hypot(*one) > 0.5
        likeness = (one[0] * other[0] + one[1] * other[1])[strong] / (np.hypot(*one) * np.hypot(*other))[strong]
        assert np.median(likeness) > 0.99


class TestBrushwork:
    """Readings of two looks whose likeness is given: the close look of fine, of broad and of no painting at all."""

    SHAPE = (GRID.height, GRID.width)

    def _alike(self, likeness: float, information: float = 5.0) -> Readings:
        return Readings(
            np.zeros((*self.SHAPE, 2)), _information(information), np.full(self.SHAPE, likeness), overlap=2.0
        )

    def test_what_one_look_loses_the_other_gains(self) -> None:
        for likeness in (0.5, 0.9, 0.99):
            close, broad = suited([self._alike(likeness)], self._alike(0.95))
            assert close.information + broad.information == pytest.approx(_information(5.0))

    def test_the_close_look_is_believed_of_fine_brushwork_only(self) -> None:
        assert fineness(self._alike(0.98)) == pytest.approx(1.0)
        assert fineness(self._alike(0.7)).max() <= 0.05
        assert 0.2 < fineness(self._alike(0.91)).mean() < 0.8

    def test_a_flat_passage_does_not_make_the_brushwork_about_it_broad(self) -> None:
        likeness, information = np.full(self.SHAPE, 0.98), _information(5.0)
        likeness[::2], information[::2] = 0.1, 0.001
        readings = Readings(np.zeros((*self.SHAPE, 2)), information, likeness, overlap=2.0)
        assert fineness(readings).min() > 0.9

    def test_bare_ground_and_painted_canvas_are_told_apart(self) -> None:
        likeness = np.where(np.arange(GRID.width) < GRID.width // 2, 0.3, 0.9) * np.ones(self.SHAPE)
        there = presence(Readings(np.zeros((*self.SHAPE, 2)), _information(5.0), likeness, overlap=2.0))
        assert there[:, : GRID.width // 2 - 3].max() == 0.0
        assert there[:, GRID.width // 2 + 3 :].min() == 1.0


def test_a_cloth_is_not_distinct_and_a_photograph_is() -> None:
    x, y = np.meshgrid(np.arange(800) / 2, np.arange(600) / 2)
    cloth = (np.sin(2 * np.pi * x / 8) * np.sin(2 * np.pi * y / 8)).astype(np.float32)
    photograph = np.log(0.02 + references.linear(references.pixels("chelsea", SIZE, width=800))[..., 1])
    half = np.where(x < 200, cloth, photograph).astype(np.float32)
    distinct = distinctness([half], GRID, 2.0, 1.0)
    assert distinct[:, :17].max() < 0.2
    assert np.median(distinct[:, 24:]) == 1.0


class TestConfidence:
    @given(st.floats(0.02, 5), st.floats(0.1, 3))
    def test_it_is_the_chance_of_being_right(self, sigma: float, tolerance: float) -> None:
        """SciPy's chi-squared and normal laws are the outside check."""
        at = np.array([sigma])
        assert trust.confidence(at, tolerance)[0] == pytest.approx(chi2.cdf((tolerance / sigma) ** 2, 2), abs=1e-9)
        within = norm.cdf(tolerance / sigma) - norm.cdf(-tolerance / sigma)
        assert trust.confidence_along(at, tolerance)[0] == pytest.approx(within, abs=1e-9)

    @given(st.floats(0.1, 3), st.floats(0.1, 3), st.floats(0, np.pi))
    def test_the_axes_of_an_uncertainty(self, one: float, other: float, turn: float) -> None:
        c, s = np.cos(turn), np.sin(turn)
        matrix = np.array([[c, -s], [s, c]]) @ np.diag([one**2, other**2]) @ np.array([[c, s], [-s, c]])
        packed = np.array([matrix[0, 0], matrix[0, 1], matrix[1, 1]])
        assert trust.sigmas(packed) == pytest.approx((max(one, other), min(one, other)), rel=1e-4)
        firm = trust.firm_direction(packed)
        assert firm @ matrix @ firm == pytest.approx(min(one, other) ** 2, rel=1e-4)

    def test_the_tolerance_grows_with_the_canvas(self) -> None:
        assert trust.tolerance_mm(Size(200, 150)) == trust.tolerance_mm(Size(300, 400)) == 0.6
        assert trust.tolerance_mm(Size(700, 1000)) == pytest.approx(1.5)
