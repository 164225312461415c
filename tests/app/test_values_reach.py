"""Reach and keying, the underpainting and the grey pair, in the window."""

import json
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from pytestqt.qtbot import QtBot

from app.checks import Checked
from app.findings import read_findings, stored
from app.picture import srgb_of_qimage
from app.values.settings import PaintReach
from app.view import View
from app.work import Worker
from core.colorimetry import decode_srgb, luminance, munsell_value
from core.demo import DEMO_SIZE
from core.value.reach import OIL
from tests.app.values_case import still_life
from tests.app.window_case import Easel

CHECK = {
    "schema": 1,
    "size_mm": [400, 300],
    "canvas": {
        "corners_px": [[0, 0], [1, 0], [1, 1], [0, 1]],
        "found_by": "given",
        "px_per_mm": 4,
        "lens_k1": 0,
        "uncertainty_mm": 0.2,
    },
    "light": {"from": "blank", "uncertainty_steps": 0.2, "glare_share": 0.0},
    "drawing": {"whole": {"shift_mm": [0, 0], "turn_deg": 0.0, "scale": 1.0}, "landmarks": []},
    "value": {"areas": [], "share_within_half_step": 1.0},
    "mend": [],
    "notes": [],
}


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = still_life(qtbot, worker, tmp_path)
    return made


def values_shown(easel: Easel, index: int) -> np.ndarray:
    codes = srgb_of_qimage(easel.desk.wall.hangings[index].picture.image)
    return munsell_value(luminance(decode_srgb(codes / 255.0)))


def reach(easel: Easel):
    return easel.desk.side.value.reach


def test_what_is_beyond_the_reach_is_told_and_hatched(easel: Easel) -> None:
    before = values_shown(easel, 0)
    easel.press("beyond_reach")
    low, high = (before < OIL.darkest).mean(), (before > OIL.lightest).mean()
    assert reach(easel).is_open
    told = easel.desk.studio.values.beyond()
    assert (told.dark_share, told.light_share) == pytest.approx((low, high), abs=0.002)
    assert f"{100 * told.dark_share:.1f} % is darker" in reach(easel).says.text()
    changed = values_shown(easel, 0) != before
    outside = (before < OIL.darkest - 0.05) | (before > OIL.lightest + 0.05)
    assert changed[outside].mean() > 0.2
    assert not changed[(before > OIL.darkest + 0.05) & (before < OIL.lightest - 0.05)].any()
    # Too dark has light lines, too light has dark ones.
    after = values_shown(easel, 0)
    assert after[outside & (before < 3) & changed].max() > 8
    assert after[outside & (before > 8) & changed].min() < 2


@pytest.mark.parametrize(("presses", "name"), [(1, "keep the lights"), (2, "keep the darks"), (3, "compress evenly")])
def test_keyed_the_reference_hangs_within_the_reach(easel: Easel, presses: int, name: str) -> None:
    before = values_shown(easel, 1)
    easel.press(*["keying"] * presses)
    assert easel.desk.studio.view.values.keying == name
    assert [hanging.title for hanging in easel.desk.wall.hangings] == ["Reference, keyed", "Reference, keyed · grey"]
    after = values_shown(easel, 1)
    assert after.min() > OIL.darkest - 0.03
    assert after.max() < OIL.lightest + 0.03
    order = np.argsort(before.ravel()[::97])
    assert (np.diff(after.ravel()[::97][order]) > -0.1).all()  # darker stays darker
    middle = np.abs(before - 8.0) < 0.3 if presses == 1 else np.abs(before - 3.0) < 0.3
    if presses < 3:
        shift = (after - before)[middle]
        assert shift.std() < 0.05  # differences are kept where they are to be kept
    assert reach(easel).keyings[name].isChecked()
    easel.press(*["keying"] * (4 - presses))
    assert np.array_equal(values_shown(easel, 1), before)


def test_steps_and_shares_are_those_of_the_keyed_reference(easel: Easel) -> None:
    studio = easel.desk.studio
    easel.press("steps", "fewer_steps")
    darkest = easel.desk.side.value.reference_shares._shares[0]
    reach(easel).heading.click()
    reach(easel).darkest.field.setText("3,5")
    reach(easel).darkest.field.editingFinished.emit()
    assert studio.view.values.reach == PaintReach(3.5, 9.5, 0.0)
    easel.press("keying", "keying")
    shares = easel.desk.side.value.reference_shares._shares
    assert shares[0] == pytest.approx(0.0, abs=1e-6)  # nothing is below 2.5 any more
    assert darkest > 0.01
    studio.save_view()
    kept = View.from_json(json.loads(json.dumps(studio.painting.setting("view"))))
    assert (kept.values.keying, kept.values.reach) == ("keep the darks", PaintReach(3.5, 9.5, 0.0))


def test_a_reach_that_is_none_is_refused_in_place(easel: Easel) -> None:
    reach(easel).heading.click()
    reach(easel).darkest.field.setText("9")
    reach(easel).darkest.field.editingFinished.emit()
    assert "at least 2 steps apart" in easel.said
    assert reach(easel).darkest.field.text() == "1.6"
    assert easel.desk.studio.view.values.reach is None


def test_reach_is_measured_on_a_canvas_that_was_checked(easel: Easel) -> None:
    reach(easel).heading.click()
    assert not reach(easel).measure.isEnabled()
    value = np.full((300, 400), 5.0, np.float32)
    value[20:80, 20:100], value[200:260, 250:330], value[:, 380:] = 2.5, 8.5, np.nan
    studio = easel.desk.studio
    found = read_findings(stored(CHECK, (), ()), DEMO_SIZE)
    studio.checked = Checked(found, maps={"value_canvas": value})
    studio.findings_changed.emit()
    reach(easel).measure.click()
    kept = studio.view.values.reach
    assert (kept.darkest, kept.lightest, kept.uncertainty, kept.from_canvas) == pytest.approx((2.5, 8.5, 0.2, True))
    assert "Measured on the canvas photo, good to ± 0.2" in reach(easel).source.text()
    reach(easel).usual.click()
    assert studio.view.values.reach is None


def test_underpainting_keeps_every_value_in_the_hue_of_its_earth(easel: Easel) -> None:
    grey = values_shown(easel, 1)
    easel.press("underpainting")
    assert easel.desk.wall.hangings[0].title == "Reference · in raw umber"
    assert np.abs(values_shown(easel, 0) - grey).max() < 0.12  # whole codes of both
    fold = easel.desk.side.value.underpainting
    umber = srgb_of_qimage(easel.desk.wall.hangings[0].picture.image).astype(int)
    middle = (grey > 4) & (grey < 6)
    assert (umber[middle][:, 0] > umber[middle][:, 2]).all()
    fold.earth.setCurrentIndex(fold.earth.findData("Venetian red"))
    fold.earth.activated.emit(fold.earth.currentIndex())
    red = srgb_of_qimage(easel.desk.wall.hangings[0].picture.image).astype(int)
    assert (red[middle][:, 0] - red[middle][:, 2]).mean() > (umber[middle][:, 0] - umber[middle][:, 2]).mean() + 20
    assert "USGS" in fold.says.text()


def test_grey_pair_is_printed_with_the_grid_and_stands_at_its_scale(easel: Easel) -> None:
    panel = easel.desk.side.value.prints
    panel.heading.click()
    panel.grid.setChecked(True)
    easel.answers.save = easel.folder / "pair"
    panel.pair.click()
    made = easel.folder / "pair.pdf"
    assert "The grey pair, 1 page." in easel.said
    assert str(made) in easel.said
    document = pypdfium2.PdfDocument(made)
    try:
        page = np.asarray(document[0].render(scale=150 / 72).to_numpy())[..., :3].astype(int)
        assert len(document) == 1
    finally:
        document.close()
    colourful = np.ptp(page, axis=2) > 30
    assert 0.01 < colourful.mean() < 0.3  # one of the two is in colour
    panel.scaled.click()
    easel.press("keying", "grey_pair")  # once more over the same name: it is asked for by its full one
    assert "is there already" in easel.said
    easel.answers.save = made
    easel.press("grey_pair")
    assert "pages" in easel.said
    assert easel.desk.studio.view.values.printed.fitted is False


def test_strong_colour_has_a_note(easel: Easel) -> None:
    panel = easel.desk.side.value
    assert "Strong colour looks up to" in panel.note.text()
    assert "trust them" in panel.note.toolTip()
