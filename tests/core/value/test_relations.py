"""The whole off in level, in contrast, with faults and without: what is said must be so.

On photographs of known truth: tests/measure/relations.py."""

import cv2
import numpy as np
import pytest

from core.size import Size
from core.value.compare import ValueComparison, compare_values
from core.value.keying import Keying, keying_curve
from core.value.reach import Reach
from core.value.relations import Whole, relations_of
from core.words import as_share
from tests.core.value.test_compare import picture
from tests.studio.painter import ValueFault, fault_map

SIZE = Size(400, 300)
FAULTS = (ValueFault(110, 90, 45, 30, -0.9), ValueFault(300, 210, 30, 42, 1.2), ValueFault(60, 250, 24, 20, 1.6))


@pytest.fixture(scope="module")
def reference() -> np.ndarray:
    return np.clip(picture(SIZE, 2.0), 2.0, 8.5)


def compared(
    reference: np.ndarray,
    *,
    level: float = 0.0,
    contrast: float = 0.0,
    pivot: float = 5.0,
    faults: tuple[ValueFault, ...] = (),
    **options: object,
) -> ValueComparison:
    marks = cv2.GaussianBlur(np.random.default_rng(3).normal(size=reference.shape).astype(np.float32), (0, 0), 3)
    canvas = (
        reference + level + contrast * (reference - pivot) + fault_map(faults, SIZE, 2.0) + 0.15 * marks / marks.std()
    )
    asked = {"px_per_mm": 2.0, "uncertainty_steps": 0.1} | options
    return compare_values(reference, canvas.astype(np.float32), **asked)  # type: ignore[arg-type]


@pytest.mark.parametrize("faults", [(), FAULTS])
@pytest.mark.parametrize("level", [-1.0, -0.5, 0.5, 1.0])
def test_a_level_is_told_as_such(reference: np.ndarray, level: float, faults: tuple[ValueFault, ...]) -> None:
    found = compared(reference, level=level, faults=faults)
    assert found.relations.whole is Whole.LEVEL
    assert found.relations.level_steps == pytest.approx(level, abs=0.1)
    assert found.relations.contrast == 0
    told = [f for f in faults if np.sign(f.steps) * (f.steps + level) >= 0.5]
    assert sorted(round(p.beside_whole, 1) for p in found.passages) == pytest.approx(
        sorted(f.steps for f in told), abs=0.16
    )


def test_a_level_alone_leaves_the_relations_right(reference: np.ndarray) -> None:
    found = compared(reference, level=-0.5)
    assert found.passages == ()
    assert found.notes == ("The relations are right; the whole is 0.5 step too dark.",)


@pytest.mark.parametrize("faults", [(), FAULTS])
@pytest.mark.parametrize(("contrast", "pivot"), [(-0.2, 2.5), (-0.2, 7.5), (-0.18, 5.0), (0.2, 2.5), (0.2, 7.5)])
def test_contrast_is_told_by_its_ends(
    reference: np.ndarray, contrast: float, pivot: float, faults: tuple[ValueFault, ...]
) -> None:
    found = compared(reference, contrast=contrast, pivot=pivot, faults=faults)
    said = found.relations
    assert said.whole is Whole.CONTRAST
    assert said.contrast == pytest.approx(contrast, abs=0.03)
    dark, light = np.percentile(reference, (5, 95))
    assert said.darks_steps == pytest.approx(contrast * (dark - pivot), abs=0.15)
    assert said.lights_steps == pytest.approx(contrast * (light - pivot), abs=0.15)
    if not faults:
        assert found.passages == ()


def test_the_words_name_the_end_that_is_right(reference: np.ndarray) -> None:
    dark, light = (float(v) for v in np.percentile(reference, (5, 95)))
    by = {pivot: compared(reference, contrast=-0.2, pivot=pivot).relations.say() for pivot in (dark, light)}
    assert by[dark].startswith("The darks are right, the lights ")
    assert "too dark: the contrast is compressed by" in by[dark]
    assert by[light].startswith("The lights are right, the darks ")
    assert "too light: the contrast is compressed by" in by[light]
    strong = compared(reference, contrast=0.2).relations
    assert f"stretched by {as_share(strong.contrast)}, unless the camera's tone curve did it." in strong.say()


def test_a_contrast_that_is_not_told_is_given_as_a_doubt_without_a_number(reference: np.ndarray) -> None:
    right, dark, strong = (
        compared(reference, **off).relations
        for off in ({}, {"level": -0.8}, {"contrast": 0.2})  # type: ignore[arg-type]
    )
    for silent in (right, dark):
        assert "contrast" not in silent.say()
        assert "tone curve" in silent.contrast_doubt(-0.06)
        assert "%" not in silent.contrast_doubt(-0.06)
        assert silent.contrast_doubt(0.03) == ""
    assert strong.whole is Whole.CONTRAST
    assert strong.contrast_doubt(0.2) == ""
    either = compared(reference, contrast=-0.15, level_known=False).relations
    assert either.whole is Whole.EITHER
    assert either.contrast_doubt(-0.15) == ""


@pytest.mark.parametrize("seed", range(6))
def test_faults_alone_are_not_taken_for_the_whole(reference: np.ndarray, seed: int) -> None:
    rng = np.random.default_rng(seed)
    places = [(x, y) for x in (80, 200, 320) for y in (75, 225) if rng.random() < 0.6]
    faults = tuple(ValueFault(x, y, 38, 34, float(rng.choice([-1, 1]) * rng.uniform(0.8, 1.8))) for x, y in places)
    found = compared(reference, faults=faults)
    assert found.relations.whole is Whole.RIGHT
    assert found.notes == ()
    assert len(found.passages) == len(faults)


def test_uncertain_light_leaves_open_whether_it_is_level_or_contrast(reference: np.ndarray) -> None:
    """A photo exposed wrongly by a step moves the lights by more steps than the darks."""
    sure, unsure = (compared(reference, contrast=-0.12, uncertainty_steps=u).relations for u in (0.1, 1.0))
    assert (sure.whole, unsure.whole) == (Whole.CONTRAST, Whole.EITHER)
    assert unsure.contrast_uncertainty > 3 * sure.contrast_uncertainty
    assert unsure.level_uncertainty > sure.level_uncertainty
    tellable, too_little = (compared(reference, level=-0.4, uncertainty_steps=u).relations for u in (0.1, 0.4))
    assert tellable.whole is Whole.LEVEL
    assert too_little.level_uncertainty > tellable.level_uncertainty


def test_a_level_that_was_matched_is_never_told(reference: np.ndarray) -> None:
    found = compared(reference, level=-0.8, level_known=False).relations
    assert found.whole is Whole.RIGHT
    either = compared(reference, contrast=-0.15, level_known=False).relations
    assert either.whole is Whole.EITHER
    assert either.say().endswith("beside the darks: the whole is too light or its contrast too weak.")
    strong = compared(reference, contrast=0.15, level_known=False).relations
    assert strong.say().endswith("beside the darks: the whole is too dark or its contrast too strong.")


def test_passages_beside_the_whole_are_counted(reference: np.ndarray) -> None:
    said = compared(reference, level=-0.7, faults=FAULTS[:1]).notes
    assert said == ("The whole is 0.7 step too dark. One passage is off beside that.",)


def test_the_keyed_reference_is_what_is_compared(reference: np.ndarray) -> None:
    """A painting that follows the keyed reference is right against it, and off against the photograph itself."""
    curve = keying_curve(reference, Reach(3.2, 7.4), Keying.EVENLY)
    canvas = curve.of(reference)
    keyed = compare_values(reference, canvas, px_per_mm=2.0, uncertainty_steps=0.1, keying=curve)
    plain = compare_values(reference, canvas, px_per_mm=2.0, uncertainty_steps=0.1)
    assert keyed.keyed
    assert keyed.relations.whole is Whole.RIGHT
    assert keyed.share_within_half_step > 0.99
    assert plain.relations.whole is Whole.CONTRAST
    darker = compare_values(reference, canvas - 0.7, px_per_mm=2.0, uncertainty_steps=0.1, keying=curve)
    assert darker.notes == ("The relations are right; the whole is 0.7 step too dark, against the keyed reference.",)


def test_next_to_nothing_known_is_answered() -> None:
    few = relations_of(
        np.zeros((30, 40), np.float32), np.full((30, 40), 5, np.float32), np.zeros((30, 40), np.float32),
        uncertainty_steps=0.1,
    )  # fmt: skip
    assert few.whole is Whole.RIGHT
    assert few.say() == ""
    assert few.level_uncertainty == np.inf
    assert not few.of(np.ones((3, 3))).any()


def test_one_even_tone_has_a_level_and_no_contrast() -> None:
    flat = np.full((300, 400), 5.0, np.float32)
    found = compare_values(flat, flat + 0.8, px_per_mm=1.0, uncertainty_steps=0.1)
    assert found.relations.whole is Whole.LEVEL
    assert found.relations.level_steps == pytest.approx(0.8, abs=0.05)
