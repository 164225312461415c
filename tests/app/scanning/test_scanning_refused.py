"""What is refused on the scan page, in a sentence each, and which sheet it takes a drawing to be on."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.scanning.page import ScanPage
from app.work import Worker
from core.painting import Painting
from core.photo import Photo, srgb_curve
from tests.app.scan_case import (
    bring_in,
    photo_file,
    photographed,
    scanned,
    shot,
)
from tests.app.window_case import SIZE, SVG, Easel, make_easel, make_painting, reference_photo

KEY = Qt.Key


def is_on_page(easel: Easel) -> bool:
    return easel.desk.placing.currentWidget() is easel.desk.placing.scan


class TestRefusals:
    """One sentence each; the page stays as it is, and nothing is changed."""

    def refused(self, easel: Easel, page: ScanPage) -> str:
        page.go_on()
        assert is_on_page(easel)
        assert not page.shows_lines
        assert page.accept.isEnabled()
        assert easel.desk.studio.painting.drawing_svg == SVG
        return easel.said

    def test_a_broken_photo(self, looking: Easel, tmp_path: Path) -> None:
        file = tmp_path / "broken.jpg"
        file.write_bytes(b"\xff\xd8\xff\xe0 and no more")
        bring_in(looking, file)
        assert "broken.jpg" in looking.said
        assert not looking.desk.placing.is_away

    @pytest.mark.usefixtures("outline_known")
    def test_no_lines(self, looking: Easel, tmp_path: Path) -> None:
        assert "No lines were found" in self.refused(looking, bring_in(looking, shot(tmp_path, with_lines=False)))

    @pytest.mark.usefixtures("outline_known")
    def test_corners_that_cross(self, looking: Easel, tmp_path: Path) -> None:
        page = bring_in(looking, shot(tmp_path))
        page.placer.set_corners(photographed()[1][[0, 2, 1, 3]])
        sentence = self.refused(looking, page)
        assert "must go round the sheet without crossing" in sentence

    @pytest.mark.usefixtures("outline_known")
    def test_a_sheet_cut_off(self, looking: Easel, tmp_path: Path) -> None:
        page = bring_in(looking, scanned(tmp_path))
        page.sheet_side.whole.click()
        page.placer.set_corners(page.placer.corners + np.array([[0, 0], [80, 0], [80, 0], [0, 0]]))
        assert "The sheet is cut off on the right by the photo's edge" in self.refused(looking, page)

    @pytest.mark.usefixtures("outline_known")
    def test_a_photograph_of_a_scene(self, looking: Easel, tmp_path: Path) -> None:
        page = bring_in(looking, reference_photo(tmp_path))
        page.sheet_side.whole.click()
        assert "looks like a photograph, not a line drawing" in self.refused(looking, page)

    @pytest.mark.usefixtures("outline_known")
    def test_too_few_pixels(self, looking: Easel, tmp_path: Path) -> None:
        codes = photographed()[0].codes[::5, ::5]
        page = bring_in(looking, photo_file(tmp_path, Photo(codes.copy(), srgb_curve())))
        page.sheet_side.whole.click()
        assert "The photo is too small for the lines to show" in self.refused(looking, page)

    @pytest.mark.usefixtures("outline_known")
    def test_a_sheet_of_no_size(self, looking: Easel, tmp_path: Path) -> None:
        page = bring_in(looking, shot(tmp_path))
        page.sheet_side.choice.choose("Own size")
        page.sheet_side.choice.own.width_field.clear()
        QTest.keyClicks(page.sheet_side.choice.own.width_field, "x")
        assert "Give the sheet’s width and height as numbers" in self.refused(looking, page)

    def test_a_painting_open_only_to_look(self, qtbot: QtBot, worker: Worker, tmp_path: Path) -> None:
        folder = make_painting(tmp_path)
        easel = make_easel(qtbot, worker, tmp_path)
        with Painting.open(folder):
            easel.window.open_painting(folder, look_only=True)
            bring_in(easel, shot(tmp_path))
            assert "open only to look" in easel.said
            assert not easel.desk.placing.is_away
            easel.press("close")

    @pytest.mark.usefixtures("read_once")
    def test_a_full_disk_keeps_what_there_was(
        self, looking: Easel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        from core.errors import PaintingError

        def full(*_a: Any, **_k: Any) -> None:
            raise PaintingError("The disk is full. Make room, and do it again.")

        page = bring_in(looking, shot(tmp_path))
        page.go_on()
        monkeypatch.setattr(looking.desk.studio.painting, "set_drawing", full)
        page.go_on()
        assert "The disk is full" in looking.said
        assert page.shows_lines  # the lines are still there, to be kept when there is room
        assert looking.desk.studio.painting.drawing_svg == SVG


class TestSheet:
    """Which sheet it is, and how it stands."""

    @pytest.mark.usefixtures("outline_known")
    def test_the_way_up_follows_the_corners_until_it_is_chosen(self, looking: Easel, tmp_path: Path) -> None:
        page = bring_in(looking, shot(tmp_path))
        choice = page.sheet_side.choice
        assert choice.sheet() == SIZE
        choice.upright.click()
        QTest.keyClick(page.placer.handles[0], KEY.Key_Right)
        assert choice.sheet() == SIZE.turned
        page.sheet_side.turn.click()  # named anew, so followed again
        assert choice.sheet() == SIZE.turned
        page.sheet_side.turn.click()
        assert choice.sheet() == SIZE

    def test_a_scan_s_shape_chooses_the_paper(self, looking: Easel, tmp_path: Path) -> None:
        page = bring_in(looking, photo_file(tmp_path, Photo(np.full((1131, 800, 3), 240, np.uint8), srgb_curve())))
        assert page.sheet_side.choice.which.currentText().startswith("A4")
        assert page.sheet_side.choice.upright.isChecked()
        assert "whole picture" in page.sheet_side.says.text()

    def test_corners_moved_by_hand_are_not_looked_for_again(self, looking: Easel, tmp_path: Path) -> None:
        page = bring_in(looking, shot(tmp_path))
        QTest.keyClick(page.placer.handles[0], KEY.Key_Right)
        assert "Corners moved by hand" in page.sheet_side.says.text()
        corners = page.placer.corners
        page.sheet_side.choice.choose("A3")
        assert page.placer.corners == pytest.approx(corners)
        page.sheet_side.choice.choose("Same as the canvas")
        page.sheet_side.again.click()
        assert page.placer.corners == pytest.approx(photographed()[1], abs=1.5)

    @pytest.mark.usefixtures("outline_known")
    def test_no_word_of_a_canvas_where_a_sheet_is_meant(self, looking: Easel, tmp_path: Path) -> None:
        page = bring_in(looking, shot(tmp_path))
        names = [handle.accessibleName() for handle in page.placer.handles]
        assert names[0] == "Top left corner of the sheet"
        assert all("canvas" not in name for name in (*names, page.placer.accessibleName()))
