"""The look: neutral, legible, in our own type."""

import re
from itertools import pairwise

import pytest
from PySide6.QtGui import QColor, QFontDatabase, QFontInfo, QPalette, QRawFont
from PySide6.QtWidgets import QApplication, QCheckBox, QPushButton, QRadioButton
from pytestqt.qtbot import QtBot

from app import look
from core.assets import font_file


def test_neutrals_against_the_published_greys() -> None:
    """sRGB greys of Munsell values after ASTM D1535: V 1-9 are 28.3, 48.8, 71.5, 96.0, 121.5, 147.3, 173.4, 199.8,
    226.8 of 255."""
    published = [28.3, 48.8, 71.5, 96.0, 121.5, 147.3, 173.4, 199.8, 226.8]
    for value, code in enumerate(published, start=1):
        colour = look.neutral(float(value))
        assert abs(colour.red() - code) <= 0.51
        assert colour.red() == colour.green() == colour.blue()


def test_contrast_is_wcags() -> None:
    """WCAG 2.2: black on white is 21:1; #767676 on white is the well-known lightest grey that passes 4.5:1 (4.54)."""
    assert look.contrast(QColor("black"), QColor("white")) == pytest.approx(21.0)
    assert look.contrast(QColor("#767676"), QColor("white")) == pytest.approx(4.54, abs=0.005)
    assert look.contrast(QColor("#777777"), QColor("white")) < 4.5


@pytest.mark.parametrize("shades", [look.ORDINARY, look.HIGH_CONTRAST])
def test_every_text_has_contrast(shades: look.Shades) -> None:
    """WCAG 2.2, 1.4.3: text at least 4.5:1 on whatever it stands on; marks of controls 3:1 (1.4.11)."""
    for ink, grounds in {
        "ink": ("surround", "panel", "raised", "field"),
        "quiet": ("panel", "raised", "field"),
        "on_pressed": ("pressed",),
    }.items():
        for ground in grounds:
            assert look.contrast(shades.colour(ink), shades.colour(ground)) >= 4.5, (ink, ground)
    assert look.contrast(shades.colour("pressed"), shades.colour("panel")) >= 3.0
    assert look.contrast(shades.colour("ink"), shades.colour("raised")) >= 3.0


def test_the_surround_is_a_grey_of_less_than_sixty_per_cent() -> None:
    """ISO 3664:2009: a neutral surround below 60 % reflectance; here between N5 and N6."""
    assert look.neutral(5.0).red() < look.SURROUND.red() < look.neutral(6.0).red()
    assert look.SURROUND.saturation() == 0


def test_no_colour_but_grey_in_palette_and_style_sheet(qapp: QApplication) -> None:
    palette = qapp.palette()
    for role in QPalette.ColorRole:
        if role not in (QPalette.ColorRole.NColorRoles, QPalette.ColorRole.NoRole):
            assert palette.color(role).saturation() == 0, role
    colours = [QColor(word) for word in re.findall(r"#[0-9A-Fa-f]{6}", qapp.styleSheet())]
    assert len(colours) > 20
    assert all(colour.isValid() and colour.saturation() == 0 for colour in colours)
    assert "$" not in qapp.styleSheet()


def test_our_own_type_is_loaded_and_used(qapp: QApplication) -> None:
    assert look.FAMILY in QFontDatabase.families()
    for role, (points, weight) in look.TYPE.items():
        info = QFontInfo(look.font(role))
        assert info.family() == look.FAMILY
        assert info.weight() == weight.value
        assert points >= 11.0
    assert look.TYPE["body"][0] >= 11.0
    assert 16.0 <= look.TYPE["heading"][0] <= 20.0


def test_the_type_has_the_signs_we_write() -> None:
    for face in ("Regular", "Medium", "SemiBold"):
        font = QRawFont(str(font_file(face)), 16.0)
        missing = [sign for sign in "−×·°±→←↑↓≤≥½¼…“”’–—²³éüñøß" if not font.supportsCharacter(ord(sign))]
        assert not missing, face


def test_arms_length_is_larger_and_returns(qtbot: QtBot, qapp: QApplication) -> None:
    button = QPushButton("Blink")
    qtbot.addWidget(button)
    button.show()
    ordinary = button.sizeHint().height()
    try:
        look.apply_look(qapp, arms_length=True, high_contrast=False)
        assert look.font("body").pointSizeF() == pytest.approx(12 * look.ARMS_LENGTH)
        assert button.sizeHint().height() > 1.4 * ordinary
        assert look.target_px() == round(44 * look.ARMS_LENGTH)
    finally:
        look.apply_look(qapp, high_contrast=False)
    assert button.sizeHint().height() == ordinary
    assert ordinary >= look.TARGET_PX


def test_high_contrast_is_black_on_white(qapp: QApplication) -> None:
    try:
        look.apply_look(qapp, high_contrast=True)
        palette = qapp.palette()
        ink, ground = palette.color(QPalette.ColorRole.ButtonText), palette.color(QPalette.ColorRole.Button)
        assert look.contrast(ink, ground) > 20.0
    finally:
        look.apply_look(qapp, high_contrast=False)


def test_the_focus_can_be_seen(qtbot: QtBot, qapp: QApplication) -> None:
    """The same button with and without the focus differs along its whole edge by at least 3:1 (WCAG 2.2, 2.4.13)."""
    button, other = QPushButton("Check"), QPushButton("Other")
    for each in (button, other):
        qtbot.addWidget(each)
        each.resize(160, 50)
        each.show()
    shots = []
    for owner in (other, button):
        owner.activateWindow()
        owner.setFocus()
        qtbot.waitUntil(owner.hasFocus)
        shots.append(button.grab().toImage())
    without, with_focus = (QColor(shot.pixel(80, 1)) for shot in shots)
    assert look.contrast(without, with_focus) >= 3.0


@pytest.mark.parametrize("kind", [QCheckBox, QRadioButton])
def test_a_tick_can_be_seen(qtbot: QtBot, kind: type[QCheckBox] | type[QRadioButton]) -> None:
    box = kind("Acetate")
    qtbot.addWidget(box)
    box.resize(200, 44)
    shots = []
    for checked in (False, True):
        box.setChecked(checked)
        shots.append(box.grab().toImage())
    assert box.isChecked()
    area = [(x, y) for x in range(10, 32) for y in range(10, 34)]
    changed = [at for at in area if shots[0].pixel(*at) != shots[1].pixel(*at)]
    assert len(changed) > 40
    darkest = min((QColor(shots[0].pixel(*at)) for at in area), key=QColor.lightness)
    assert look.contrast(darkest, look.shades().colour("panel")) >= 3.0


def test_type_sizes_step_up(qapp: QApplication) -> None:
    sizes = [look.TYPE[role][0] for role in ("note", "body", "subheading", "title", "heading", "figure")]
    assert all(smaller < larger for smaller, larger in pairwise(sizes))
