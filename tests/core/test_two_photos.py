"""Two photos of one painting in other lights: what was repainted is found, and nothing else is."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from core.errors import CancelledError, CanvasError
from core.photo import Photo, load_photo_bytes, srgb_curve
from core.size import Size
from core.two_photos import CanvasShot, Changed, what_changed
from tests.studio import references
from tests.studio.camera import Camera, photograph
from tests.studio.displacement import Displacement
from tests.studio.painter import ValueFault, paint

SIZE = Size(200, 150)
CORNERS = ((150.0, 110.0), (1062.0, 118.0), (1055.0, 790.0), (143.0, 800.0))
OTHER = ((170.0, 90.0), (1050.0, 100.0), (1070.0, 770.0), (160.0, 760.0))
DARKER, LIGHTER = ValueFault(60, 100, 25, 20, -1.5), ValueFault(150, 40, 22, 18, 1.0)
Take = Callable[..., CanvasShot]


@pytest.fixture(scope="module")
def reference() -> Photo:
    return Photo(references.pixels("chelsea", SIZE, width=800), srgb_curve())


@pytest.fixture(scope="module")
def take(reference: Photo) -> Take:
    def taken(*changes: ValueFault, corners: tuple[tuple[float, float], ...] = CORNERS, **camera: float) -> CanvasShot:
        drift = Displacement(SIZE, shift_mm=(1.0, 0.0))
        painted = paint(reference.linear(), drift, faults=changes, brushwork="texture", px_per_mm=4.0)
        shot = photograph(painted, Camera(corners, width=1200, height=900, **camera))  # type: ignore[arg-type]
        return CanvasShot(load_photo_bytes(shot.jpeg(), "shot.jpg"), corners)

    return taken


@pytest.fixture(scope="module")
def repainted(take: Take, reference: Photo) -> Changed:
    """Photographed at first by a window on the left, then by a lamp on the right from another place."""
    earlier = take(exposure=0.75, light_ratio=1.6)
    later = take(DARKER, LIGHTER, corners=OTHER, exposure=0.6, light_ratio=1.5, light_from_deg=20.0, vignetting=0.2)
    return what_changed(earlier, later, SIZE, reference=reference)


def test_what_was_repainted_is_found_and_by_how_much(repainted: Changed) -> None:
    assert len(repainted.areas) == 2
    for area, truth in zip(repainted.areas, (DARKER, LIGHTER), strict=True):
        assert area.steps == pytest.approx(truth.steps, abs=0.2)
        assert area.area_cm2 == pytest.approx(truth.area_cm2, rel=0.25)
        assert (area.x_mm, area.y_mm) == pytest.approx((truth.x_mm, truth.y_mm), abs=5)


def test_where_nothing_was_painted_the_two_agree(repainted: Changed) -> None:
    found, px = repainted.difference, repainted.px_per_mm
    far = found[int(110 * px) : int(145 * px), int(110 * px) : int(195 * px)]
    assert np.isfinite(far).mean() > 0.95
    assert np.nanmean(np.abs(far)) < 0.05
    assert np.nanquantile(np.abs(far), 0.9) < repainted.uncertainty_steps + 0.02


def test_it_is_told_in_words(repainted: Changed) -> None:
    first, second = (repainted.say(area) for area in repainted.areas)
    assert first.startswith("Lower left, 1")
    assert first.endswith("± 0.2 steps darker.")
    assert second.startswith("Upper right, 1")
    assert second.endswith("± 0.2 steps lighter.")
    assert "nine places in ten" in repainted.notes[0]
    assert "glaze over everything" in repainted.notes[-1]


def test_another_exposure_alone_is_no_change(take: Take, reference: Photo) -> None:
    darker = take(exposure=0.5, white_balance=(1.0, 0.95, 0.9), glare=((100.0, 75.0, 7.0),), seed=3)
    same = what_changed(take(exposure=0.8), darker, SIZE, reference=reference)
    assert same.areas == ()
    row, column = int(75 * same.px_per_mm), int(100 * same.px_per_mm)
    assert np.isnan(same.difference[row, column])  # under the glare


def test_the_other_way_round_has_the_other_sign(take: Take) -> None:
    """Without a reference too."""
    earlier, later = take(), take(DARKER)
    there, back = (what_changed(*pair, SIZE).areas[0].steps for pair in ((earlier, later), (later, earlier)))
    assert there < -0.8
    assert back == pytest.approx(-there, abs=0.3)


def test_it_tells_how_far_it_is_and_can_be_stopped(take: Take) -> None:
    shot, shares = take(), list[float]()

    def stop(share: float, say: str) -> None:
        shares.append(share)
        assert say
        if share >= 0.6:
            raise CancelledError("Stopped.")

    with pytest.raises(CancelledError):
        what_changed(shot, shot, SIZE, progress=stop)
    assert shares == sorted(shares)
    with pytest.raises(CanvasError):
        what_changed(shot, replace(shot, corners=(CORNERS[0],) * 4), SIZE)
