"""The card found in photos of a simulated one, whose place is known."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from core.canvas.distortion import straighten
from core.errors import PaintError
from core.paint import swatch_card as card
from core.paint.paint import mixture
from core.paint.swatch_find import FLAT_PX_PER_MM, find_card, flatten
from core.paint.tubes import tubes
from tests.studio.swatch_photo import Painted, Shot, photograph, place_of

WHITE = {"white": tubes()["titanium white"].paint}
PAINTED = Painted({square.name: mixture(WHITE, {"white": 1}) for square in card.SQUARES})
SHOT = Shot(width=1000, height=750)
MOST_OFF_MM = 0.12

GRID = np.stack(np.meshgrid(np.linspace(5, 175, 6), np.linspace(5, 93, 4)), axis=-1).reshape(-1, 2)


@pytest.mark.parametrize(
    ("turn", "tilt"), [(0.0, 0.0), (90.0, 0.05), (180.0, 0.08), (-90.0, 0.03), (25.0, 0.08)], ids=str
)
def test_the_card_is_found_any_way_up(turn: float, tilt: float) -> None:
    shot = replace(SHOT, turn_deg=turn, tilt=tilt, width=1000, height=900, seed=int(abs(turn)))
    found = find_card(photograph(PAINTED, shot).linear())
    off = np.linalg.norm(found.px(GRID) - place_of(PAINTED, shot, GRID), axis=1) / found.px_per_mm
    assert off.max() < MOST_OFF_MM
    assert found.bent_mm < 0.2


def test_a_flat_card_has_its_squares_where_they_are() -> None:
    linear = photograph(PAINTED, replace(SHOT, turn_deg=160.0)).linear()
    flat = flatten(linear, find_card(linear))
    assert flat.px_per_mm == FLAT_PX_PER_MM
    for corner, rect in enumerate(card.mark_rects()):
        side = card.MARK_MM / card.MODULES
        for row, column in np.ndindex(card.MODULES, card.MODULES):
            module = card.Rect(rect.left + column * side, rect.top + row * side, side, side).inset(1.0)
            bright = flat.part(module).mean() > 0.3
            assert bright == card.mark_modules(corner)[row, column]


@pytest.mark.parametrize("corner", range(4))
def test_a_covered_mark_is_named(corner: int) -> None:
    linear = photograph(replace(PAINTED, covered=(corner,)), SHOT).linear()
    with pytest.raises(PaintError, match=f"The {card.CORNERS[corner]} corner mark of the card is not to be seen whole"):
        find_card(linear)


def test_a_card_that_runs_out_of_the_picture() -> None:
    linear = photograph(PAINTED, replace(SHOT, off=(0.3, 0.0))).linear()
    with pytest.raises(PaintError, match="top right and bottom right corner marks of the card are"):
        find_card(linear)


def test_a_photo_of_something_else() -> None:
    with pytest.raises(PaintError, match="No swatch card"):
        find_card(np.random.default_rng(0).uniform(0, 1, (300, 400, 3)).astype(np.float32))
    with pytest.raises(PaintError, match="No swatch card"):
        find_card(np.zeros((300, 400, 3), np.float32))


def test_two_cards() -> None:
    linear = photograph(PAINTED, SHOT).linear()
    with pytest.raises(PaintError, match="one card at a time"):
        find_card(np.concatenate([linear, linear]))


def test_a_card_too_small() -> None:
    linear = photograph(PAINTED, replace(SHOT, fill=0.33, blur_px=0.3, noise=0.0)).linear()
    with pytest.raises(PaintError, match="too small in the photo"):
        find_card(linear)


def test_a_wide_lens_bends_the_card() -> None:
    """A barrel that moves the picture's corners in by a tenth."""
    linear = photograph(PAINTED, replace(SHOT, fill=0.95, tilt=0.0)).linear()
    y, x = np.mgrid[0:750, 0:1000].astype(np.float64)
    straight = straighten(np.stack([x, y], axis=-1), -0.1, 1000, 750).astype(np.float32)
    bent = cv2.remap(linear, straight[..., 0], straight[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    with pytest.raises(PaintError, match="The card is bent in the photo"):
        find_card(bent)
