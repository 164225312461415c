"""A check with photos taken with the lamp moved, on known truth: a small painting with glare in each photo."""

from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest

from core.canvas.flat import Flat
from core.canvas.lay_flat import lay_flat, reference_flat
from core.canvas.locate import locate_canvas
from core.check import CheckRequest, CheckResult, run_check
from core.check_files import as_maps
from core.check_glare import LampMoved, WithoutGlare, glare_taken_out
from core.check_light import KnownGrey
from core.errors import CancelledError
from core.photo import Photo, load_photo_bytes
from core.value.glare_photos import without_glare
from core.value.same_paint import sameness
from tests.core.glare_case import BOTH, FIRST, HERE, SECOND, SIZE, THERE, Spots, painted, shot
from tests.studio import references
from tests.studio.camera import Camera, photograph, photograph_blank
from tests.studio.displacement import Displacement
from tests.studio.painter import paint


@cache
def request() -> CheckRequest:
    # What is painted from is the painting itself, so that all that strays is the photo's doing.
    pixels = references.pixels("chelsea", SIZE, width=800)
    reference = replace(shot(FIRST), codes=pixels)
    return CheckRequest(reference, shot(FIRST), SIZE, corners_px=np.array(HERE))


def other(glare: Spots = SECOND, **more: object) -> LampMoved:
    return replace(LampMoved(shot(glare, THERE), np.array(THERE), name="lamp left"), **more)


def another() -> LampMoved:
    return LampMoved(shot(SECOND, THERE, "coffee"), np.array(THERE))


@cache
def alone() -> CheckResult:
    return run_check(request())


@cache
def merged() -> CheckResult:
    """By a photo that can be used, and one of another painting."""
    return run_check(replace(request(), lamp_moved=(another(), other())))


@cache
def flats(first: Spots = FIRST) -> tuple[Flat, Flat]:
    """The first photo laid flat, and the reference on its pixels."""
    return lay_flat(shot(first), HERE, SIZE, px_per_mm=3.0), reference_flat(request().reference, SIZE, 3.0)[0]


def taken_out(*others: LampMoved, first: Spots = FIRST) -> WithoutGlare:
    return glare_taken_out(*flats(first), others)


def share_of(where: np.ndarray, glare: Spots, least: float = 0.02) -> float:
    """How much of the glare lies in ``where``."""
    seen = cv2.resize(where.astype(np.float32), (200, 150), interpolation=cv2.INTER_AREA) > 0.5
    return float(seen[under(glare, least)].mean())


def under(glare: Spots, least: float = 0.02) -> np.ndarray:
    x, y = np.meshgrid(np.arange(200) + 0.5, np.arange(150) + 0.5)
    light = sum(1.6 * np.exp(-((((x - gx) ** 2 + (y - gy) ** 2) / (2 * r**2)) ** 2)) for gx, gy, r in glare)
    return np.asarray(light > least)


def error(result: CheckResult) -> np.ndarray:
    return np.asarray(as_maps(result)["value_canvas"] - painted().true_value())


def test_what_was_under_glare_is_judged_and_right() -> None:
    glared = under(FIRST)
    assert np.isnan(error(alone())[glared]).mean() > 0.95
    off = error(merged())[glared]
    assert np.isnan(off).mean() < 0.02
    assert np.nanmean(np.abs(off)) < 0.15
    assert abs(np.nanmedian(off)) < 0.1
    assert np.nanmean(np.abs(error(merged())[under(SECOND)])) < 0.15


def test_how_much_was_taken_out_is_said_and_withheld_does_not_say_otherwise() -> None:
    result = merged()
    said, left_out = (line for line in result.certainty if line.startswith("Glare:"))
    assert left_out.startswith("Glare: “coffee.jpg” does not show what the photo itself shows.")
    share = float(said.split("; ")[1].split(" %")[0])
    assert said.startswith("Glare: taken out by 1 photo with the lamp moved; ")
    assert share == pytest.approx(100 * under(FIRST).mean(), rel=0.3)
    assert result.glare.share < 0.002
    assert "under glare" in " ".join(alone().certainty)
    assert "under glare" not in next(line for line in result.certainty if line.startswith("Withheld:"))


def test_glare_that_lies_in_all_photos_is_still_withheld() -> None:
    answer = taken_out(other((*SECOND, BOTH)), first=(*FIRST, BOTH))
    assert share_of(answer.glare.withheld, (BOTH,), 0.3) > 0.95
    assert share_of(answer.glare.withheld, FIRST) < 0.02
    assert any(note.startswith("Glare: ") and "burnt out in every photo" in note for note in answer.notes)
    whole = replace(merged(), glare=answer.glare, merged=answer)
    assert " under glare in every photo" in next(line for line in whole.certainty if line.startswith("Withheld:"))


def test_a_canvas_without_corners_is_found_by_its_outline() -> None:
    answer = taken_out(LampMoved(shot(SECOND, THERE)))
    assert answer.taken_out is not None
    assert share_of(answer.taken_out, FIRST, 0.1) > 0.9


@pytest.mark.parametrize("what", ["another", "blank", "no canvas", "painted on", "all over"])
def test_a_photo_that_cannot_be_used_is_said_and_changes_nothing(what: str) -> None:
    if what == "no canvas":
        grey = np.full((900, 1200, 3), 120, np.uint8)
        wrong, sentence = LampMoved(replace(shot(SECOND), codes=grey), name="b"), "Glare: “b” was left out."
    elif what == "blank":
        empty = load_photo_bytes(photograph_blank(painted(), Camera(THERE, width=1200, height=900)).jpeg(), "empty.jpg")
        wrong, sentence = LampMoved(empty, np.array(THERE)), "Glare: “empty.jpg” does not show what the photo itself"
    elif what == "another":
        wrong = another()
        sentence = "Glare: “coffee.jpg” does not show what the photo itself shows."
    elif what == "all over":
        wrong = other(((100.0, 75.0, 45.0),))
        sentence = "Glare: “lamp left” differs over "
    else:
        wrong, sentence = LampMoved(worked_on(), np.array(THERE), name="b"), "Glare: “b” differs over "
    answer = taken_out(wrong)
    (said,) = answer.notes
    assert said.startswith(sentence)
    assert ("too much to tell" in said, "painted on in between" in said) == (what == "all over", what == "painted on")
    assert "left out" in said
    assert answer.canvas is flats(FIRST)[0]
    assert (answer.glare.withheld == taken_out().glare.withheld).all()
    assert (answer.say, answer.taken_out) == ("", None)


@cache
def worked_on() -> Photo:
    """A fifth of the canvas was painted over with other brush strokes and another value."""
    before, anew = painted(), paint(
        references.linear(references.pixels("chelsea", SIZE, width=800)), Displacement(SIZE, shift_mm=(3.0, 2.0)),
        brushwork="texture", px_per_mm=4.0, seed=77,
    )  # fmt: skip
    linear = before.linear.copy()
    linear[100:400, 150:450] = 0.75 * anew.linear[100:400, 150:450]
    camera = Camera(THERE, width=1200, height=900, exposure=0.7, light_ratio=1.3, light_from_deg=20.0, seed=9)
    return load_photo_bytes(photograph(replace(before, linear=linear), camera).jpeg(), "later.jpg")


def test_one_that_can_be_used_is_used_beside_one_that_cannot() -> None:
    answer = taken_out(another(), other())
    assert ["left out" in note for note in answer.notes] == [True]
    assert answer.say.startswith("Glare: taken out by 1 photo with the lamp moved; ")
    assert (answer.canvas.linear == taken_out(other()).canvas.linear).all()


def test_two_others_are_taken_together() -> None:
    third = replace(other(((100.0, 20.0, 6.0), (60.0, 50.0, 5.0))), name="lamp right")
    answer = taken_out(other(), third)
    assert answer.say.startswith("Glare: taken out by 2 photos with the lamp moved; ")
    assert answer.taken_out is not None
    assert share_of(answer.taken_out, FIRST, 0.1) > 0.9


def test_photos_without_glare_say_so() -> None:
    answer = taken_out(other(()), first=())
    assert answer.say == ""
    assert [note[:66] for note in answer.notes] == [
        "Glare: no glare was found that is in one photo and not in another."
    ]


def test_glare_in_the_other_photo_alone_takes_nothing_out() -> None:
    assert (
        taken_out(other(), first=()).say
        == "Glare: 1 photo with the lamp moved could take none out of the photo itself."
    )


def test_it_can_be_stopped() -> None:
    def stop(share: float, doing: str) -> None:
        raise CancelledError("stopped")

    with pytest.raises(CancelledError):
        glare_taken_out(*flats(FIRST), (other(),), progress=stop)


def test_without_other_photos_nothing_is_merged() -> None:
    assert alone().merged is None
    assert not any(line.startswith("Glare:") for line in alone().certainty)


def test_a_grey_under_the_first_photos_glare_is_not_used() -> None:
    """A grey is measured in the first photo, where the glare still is; the others are left as they are."""
    shining, clear, beside = KnownGrey(424.0, 339.0, 8.0), KnownGrey(880.0, 250.0, 8.0), KnownGrey(40.0, 60.0, 8.0)
    fix = locate_canvas(shot(FIRST), SIZE, corners_px=HERE)
    kept, (note,) = taken_out(other()).in_the_light((shining, clear, beside), shot(FIRST), fix)
    assert kept == (clear, beside)
    assert note.startswith("The grey card of value 8 lies where the photo is lighter")
    assert taken_out().in_the_light((shining, clear), shot(FIRST), fix) == ((shining, clear), ())
    result = run_check(replace(request(), greys=(shining,), lamp_moved=(other(),)))
    assert note in result.certainty
    assert result.light.source == "fit"


def test_smooth_paint_passes_unless_it_differs_all_over() -> None:
    """Where there is no fine detail to tell by, how much differs decides."""
    first, second = (lay_flat(photo, corners, SIZE, px_per_mm=2.0) for photo, corners in (
        (shot(FIRST), HERE), (shot(SECOND, THERE), THERE),
    ))  # fmt: skip
    pair = without_glare((first, second))
    assert sameness(pair) == "same"
    rng = np.random.default_rng(0)
    calm = np.stack([cv2.GaussianBlur(p, (0, 0), 6) + rng.normal(0, 0.03, p.shape) for p in pair.lit])
    smooth = replace(pair, lit=calm.astype(np.float32))
    assert sameness(smooth) == "same"
    assert sameness(replace(smooth, shares=(0.3, 0.0))) == "too different"
