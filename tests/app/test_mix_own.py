"""The painter's own tubes in the window: the card printed, a simulated photo of it read, the tube kept."""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.machine import PAINT_BOX_FILE
from app.work import Worker
from core.paint import swatch_card as card
from core.paint.paint import Mixture, Paint, mixture
from core.paint.tubes import tubes
from tests.app.mix_case import mix_easel, open_fold, panel
from tests.app.window_case import Easel
from tests.studio.swatch_photo import Painted, Shot, jpeg

TUBE = "yellow ochre"


@cache
def shot(blur: float = 0.0) -> bytes:
    """A card painted with a stronger ochre than the stored one, photographed."""
    stored, white = tubes()[TUBE].paint, tubes()["titanium white"].paint
    paints = {"tube": Paint(1.6 * stored.k, stored.s, stored.wavelengths, stored.k1, stored.k2), "white": white}
    squares: dict[str, Mixture] = {
        square.name: mixture(paints, {"tube": square.share, "white": 1 - square.share}) for square in card.SQUARES
    }
    made = jpeg(Painted(squares), Shot())
    if not blur:
        return made
    import io

    from PIL import Image, ImageFilter

    out = io.BytesIO()
    Image.open(io.BytesIO(made)).filter(ImageFilter.GaussianBlur(blur)).save(out, "JPEG", quality=92)
    return out.getvalue()


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = mix_easel(qtbot, worker, tmp_path)
    open_fold(made, panel(made).own)
    panel(made).own.tube.setCurrentText(TUBE)
    return made


def read(easel: Easel, folder: Path, data: bytes) -> None:
    easel.answers.photo = folder / "card.jpg"
    easel.answers.photo.write_bytes(data)
    panel(easel).own.photo.click()


def test_the_card_is_printed_for_the_tube(easel: Easel, tmp_path: Path) -> None:
    import pypdfium2 as pdfium

    easel.answers.save = tmp_path / "card.pdf"
    panel(easel).own.card.click()
    assert "Print it at actual size." in easel.said
    with pdfium.PdfDocument(tmp_path / "card.pdf") as document:
        assert TUBE in document[0].get_textpage().get_text_range()


def test_a_photo_of_it_makes_the_tube_the_painters_own(easel: Easel, tmp_path: Path) -> None:
    fold = panel(easel).own
    read(easel, tmp_path, shot())
    assert "from the stored tube, and" in fold.says.text()
    assert len(fold.squares.patches) == 6
    fold.keep.click()
    held = json.loads((tmp_path / "machine" / PAINT_BOX_FILE).read_text(encoding="utf-8"))
    assert [tube["name"] for tube in held["tubes"]] == [TUBE]
    own = easel.desk.studio.mixes.tubes[TUBE]
    assert own.own
    stored = tubes()[TUBE].paint
    seen = slice(6, 16)  # 440-530 nm, where ochre absorbs
    assert np.median(own.paint.k[seen] / stored.k[seen]) == pytest.approx(1.6, rel=0.25)
    assert [line.say for line in fold.own.lines] == [TUBE]
    fold.own.lines[0].click()
    fold.remove.click()
    assert not easel.desk.studio.mixes.tubes[TUBE].own


def test_under_another_name_it_stands_beside_the_stored_one(easel: Easel, tmp_path: Path) -> None:
    fold = panel(easel).own
    read(easel, tmp_path, shot())
    fold.name.setText("  ")
    fold.keep.click()
    assert "needs a name" in easel.said
    fold.name.setText("my ochre")
    fold.keep.click()
    names = list(easel.desk.studio.mixes.box.held.tubes)
    assert "my ochre" in names
    assert TUBE in names


def test_the_name_of_another_tube_is_refused(easel: Easel, tmp_path: Path) -> None:
    fold = panel(easel).own
    read(easel, tmp_path, shot())
    fold.name.setText("Titanium White")
    fold.keep.click()
    assert "There is a tube “Titanium White” already" in easel.said
    assert easel.desk.studio.mixes.box.held.tubes["titanium white"].white


def test_another_tube_on_the_card_takes_the_answer_away(easel: Easel, tmp_path: Path) -> None:
    fold = panel(easel).own
    read(easel, tmp_path, shot())
    assert fold.keep.isVisible()
    fold.tube.activated.emit(fold.tube.findText("Venetian red"))
    assert not fold.keep.isVisible()


def test_a_photo_that_is_not_good_enough_says_why(easel: Easel, tmp_path: Path) -> None:
    fold = panel(easel).own
    read(easel, tmp_path, shot(blur=14.0))
    said = fold.says.text() if fold.says.isVisible() else easel.said
    assert "sharp" in said or "found" in said
    assert not fold.keep.isVisible()


@pytest.mark.parametrize("data", [b"no picture", b""])
def test_a_file_that_is_no_photo_says_so(easel: Easel, tmp_path: Path, data: bytes) -> None:
    read(easel, tmp_path, data)
    assert "card.jpg" in easel.said
    assert not panel(easel).own.keep.isVisible()


def test_weights_that_cannot_be_are_said(easel: Easel, tmp_path: Path) -> None:
    fold = panel(easel).own
    fold.weighed["weak tint"][1].setValue(0.0)
    read(easel, tmp_path, shot())
    assert "above 0" in easel.said


def test_a_change_of_mind_changes_nothing(easel: Easel) -> None:
    panel(easel).own.photo.click()
    panel(easel).own.card.click()
    assert not panel(easel).own.says.isVisible()
