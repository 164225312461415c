"""How the window looks: one place for neutrals, type, sizes and the style sheet.

Everything is a neutral grey of stated Munsell value, so that the screen does not push the eye; what matters is set off
by lightness, never by hue. The surround of the pictures is N5.5: a neutral matt surround of less than 60 % reflectance,
as ISO 3664:2009 asks for the practical appraisal of pictures.
"""

from dataclasses import dataclass, fields
from functools import cache
from string import Template

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication, QWidget

from core.assets import FOLDER, font_file
from core.colorimetry import decode_srgb, encode_srgb, luminance, luminance_of_value

FAMILY = "Inter"

TARGET_PX = 44  # the smallest big target: WCAG 2.2, 2.5.5 (enhanced)
ARMS_LENGTH = 1.6  # how much larger the type is for reading from the easel

# Points, and weight (400 regular, 500 medium, 600 semi bold), of each kind of text.
TYPE = {
    "heading": (18.0, QFont.Weight.DemiBold),
    "title": (16.0, QFont.Weight.Medium),
    "title selected": (16.0, QFont.Weight.DemiBold),
    "subheading": (14.0, QFont.Weight.DemiBold),
    "body": (12.0, QFont.Weight.Normal),
    "strong": (12.0, QFont.Weight.DemiBold),
    "note": (11.0, QFont.Weight.Normal),
    "figure": (20.0, QFont.Weight.DemiBold),
}


@cache
def neutral(value: float) -> QColor:
    """The neutral of Munsell value ``value`` (0-10)."""
    code = round(float(encode_srgb(luminance_of_value(value))) * 255)
    return QColor(code, code, code)


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio 1-21 of two colours: WCAG 2.2, "contrast ratio" (relative luminance of sRGB, flare 0.05)."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: QColor) -> float:
    codes = (colour.red() / 255, colour.green() / 255, colour.blue() / 255)
    return float(luminance(decode_srgb(codes)))


@dataclass(frozen=True)
class Shades:
    """Munsell values of the parts of the window."""

    surround: float = 5.5
    panel: float = 7.0
    raised: float = 8.0
    field: float = 8.5
    ink: float = 0.5
    quiet: float = 2.0
    faint: float = 4.0  # text of what is not available now
    line: float = 4.0
    pressed: float = 1.5
    on_pressed: float = 9.5
    border_px: int = 1

    def colour(self, part: str) -> QColor:
        return neutral(float(getattr(self, part)))


ORDINARY = Shades()
HIGH_CONTRAST = Shades(
    panel=9.0,
    raised=10.0,
    field=10.0,
    ink=0.0,
    quiet=0.0,
    faint=3.5,
    line=0.0,
    pressed=0.0,
    on_pressed=10.0,
    border_px=2,
)

SURROUND = neutral(ORDINARY.surround)
INK = neutral(ORDINARY.ink)
PAPER = neutral(ORDINARY.on_pressed)


@dataclass
class _InUse:
    shades: Shades = ORDINARY
    scale: float = 1.0


_in_use = _InUse()


def shades() -> Shades:
    """The values in use."""
    return _in_use.shades


def scale() -> float:
    """How much larger than usual the type and the targets are: 1, or ``ARMS_LENGTH``."""
    return _in_use.scale


def px(length: float) -> float:
    """A length on the screen, such as the weight of a mark, at the scale in use."""
    return length * _in_use.scale


def target_px() -> int:
    """The side of a big target at the scale in use."""
    return round(px(TARGET_PX))


def font(role: str = "body") -> QFont:
    """The font of a kind of text (a key of ``TYPE``), at the scale in use; figures are of equal width."""
    points, weight = TYPE[role]
    chosen = QFont(FAMILY)
    chosen.setPointSizeF(points * _in_use.scale)
    chosen.setWeight(weight)
    if hasattr(chosen, "setFeature"):
        chosen.setFeature(QFont.Tag("tnum"), 1)
    return chosen


def set_role(widget: QWidget, role: str) -> None:
    """Give a label, button or frame its part in the style sheet.

    Labels: heading, subheading, note, figure, sentence. Buttons: primary, quiet. Frames: panel, ledge, wall.
    """
    widget.setProperty("role", role)
    if widget.testAttribute(Qt.WidgetAttribute.WA_WState_Polished):  # or it is styled when it is first shown
        widget.style().unpolish(widget)
        widget.style().polish(widget)


def load_fonts() -> None:
    """Load the faces in assets/fonts; safe to call again. Raises RuntimeError when one is missing or broken."""
    if _loaded:
        return
    for face in ("Regular", "Medium", "SemiBold"):
        number = QFontDatabase.addApplicationFont(str(font_file(face)))
        if number < 0:
            raise RuntimeError(f"the font {font_file(face)} is missing or broken")
        _loaded.append(number)


_loaded: list[int] = []


def apply_look(app: QApplication, *, arms_length: bool = False, high_contrast: bool | None = None) -> None:
    """Dress the whole program; call again to change. ``high_contrast`` None follows the system's wish."""
    load_fonts()
    wanted = _system_wants_contrast(app) if high_contrast is None else high_contrast
    _in_use.shades = HIGH_CONTRAST if wanted else ORDINARY
    _in_use.scale = ARMS_LENGTH if arms_length else 1.0
    app.setStyle("Fusion")
    app.setFont(font())
    app.setPalette(_palette(_in_use.shades))
    app.setStyleSheet(_style_sheet(_in_use.shades, _in_use.scale))


def _system_wants_contrast(app: QApplication) -> bool:
    hints = app.styleHints()
    if not hasattr(hints, "accessibility"):  # before Qt 6.10
        return False
    accessibility = hints.accessibility()
    return bool(accessibility is not None and accessibility.contrastPreference() is Qt.ContrastPreference.HighContrast)


def _palette(shades: Shades) -> QPalette:
    role, group = QPalette.ColorRole, QPalette.ColorGroup
    parts = {
        role.Window: "panel",
        role.WindowText: "ink",
        role.Base: "field",
        role.AlternateBase: "raised",
        role.Text: "ink",
        role.Button: "raised",
        role.ButtonText: "ink",
        role.BrightText: "on_pressed",
        role.ToolTipBase: "pressed",
        role.ToolTipText: "on_pressed",
        role.PlaceholderText: "quiet",
        role.Highlight: "pressed",
        role.HighlightedText: "on_pressed",
        role.Accent: "pressed",
        role.Link: "ink",
        role.LinkVisited: "ink",
        role.Light: "field",
        role.Midlight: "raised",
        role.Mid: "line",
        role.Dark: "line",
        role.Shadow: "ink",
    }
    palette = QPalette()
    for which, part in parts.items():
        palette.setColor(which, shades.colour(part))
    for which in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(group.Disabled, which, shades.colour("faint"))
    return palette


def _style_sheet(shades: Shades, scale: float) -> str:
    words = {f.name: shades.colour(f.name).name() for f in fields(shades) if f.name != "border_px"}
    sizes = {f"{role.replace(' ', '_')}_pt": f"{points * scale:.1f}pt" for role, (points, _) in TYPE.items()}
    lengths = {f"px{n}": f"{round(n * scale)}px" for n in (4, 6, 8, 12, 18, 22, 28, 30, 44)}
    others = {
        "border": f"{shades.border_px}px",
        "round": f"{round(22 * scale) // 2 + 2}px",
        "tick": (FOLDER / "tick.svg").as_posix(),
    }
    return Template(_SHEET).substitute(words | sizes | lengths | others)


# The ring of the focus is 3 px of ink outside a lighter or darker ground: WCAG 2.2, 2.4.13 asks for 2 px at 3:1.
_SHEET = """
QWidget { font-family: "Inter"; font-size: $body_pt; }
QToolTip { background: $pressed; color: $on_pressed; border: 0; padding: $px6; }
QFrame[role="wall"], QWidget[role="wall"] { background: $surround; }
QFrame[role="panel"] { background: $panel; }
QFrame[role="ledge"] { background: $panel; border-top: $border solid $line; }

QLabel { background: transparent; }
QLabel[role="heading"] { font-size: $heading_pt; font-weight: 600; }
QLabel[role="subheading"] { font-size: $subheading_pt; font-weight: 600; }
QLabel[role="figure"] { font-size: $figure_pt; font-weight: 600; }
QLabel[role="note"] { font-size: $note_pt; color: $quiet; }
QLabel[role="sentence"] { background: $raised; border: $border solid $line; border-radius: $px4; padding: $px8; }

QPushButton, QToolButton {
    background: $raised; color: $ink; border: $border solid $line; border-radius: $px6;
    min-height: $px30; padding: $px6 $px12;
}
QToolButton { min-width: $px30; }
QPushButton:hover, QToolButton:hover { background: $field; border-color: $ink; }
QPushButton:pressed, QToolButton:pressed, QPushButton:checked, QToolButton:checked {
    background: $pressed; color: $on_pressed; border-color: $pressed;
}
QPushButton:disabled, QToolButton:disabled { background: $panel; color: $faint; border-color: $line; }
QPushButton[role="primary"] { background: $pressed; color: $on_pressed; border-color: $pressed; font-weight: 600; }
QPushButton[role="primary"]:hover { background: $ink; }
QPushButton[role="primary"]:disabled { background: $panel; color: $faint; border-color: $line; }
QPushButton[role="quiet"], QToolButton[role="quiet"] { background: transparent; border-color: transparent; }
QPushButton[role="quiet"]:hover, QToolButton[role="quiet"]:hover { background: $raised; border-color: $line; }
QPushButton:focus, QToolButton:focus, QPushButton[role="quiet"]:focus, QToolButton[role="quiet"]:focus {
    border: 3px solid $ink; padding: $px4 8px;
}
QPushButton:checked:focus, QToolButton:checked:focus, QPushButton[role="primary"]:focus {
    border: 3px solid $on_pressed; outline: 0;
}

QCheckBox, QRadioButton { spacing: $px12; min-height: $px44; padding: 0 $px4; border: 3px solid transparent; }
QCheckBox::indicator, QRadioButton::indicator {
    width: $px22; height: $px22; background: $field; border: 2px solid $ink; border-radius: $px4;
}
QRadioButton::indicator { border-radius: $round; }
QCheckBox::indicator:checked { image: url("$tick"); }
QRadioButton::indicator:checked {
    background: qradialgradient(
        cx: 0.5, cy: 0.5, radius: 0.5, fx: 0.5, fy: 0.5,
        stop: 0 $ink, stop: 0.54 $ink, stop: 0.58 $field, stop: 1 $field
    );
}
QCheckBox::indicator:disabled, QRadioButton::indicator:disabled { border-color: $faint; background: $panel; }
QCheckBox:focus, QRadioButton:focus { border: 3px solid $ink; border-radius: $px6; }
QCheckBox:disabled, QRadioButton:disabled { color: $faint; }

QLineEdit, QPlainTextEdit, QTextEdit {
    background: $field; color: $ink; border: $border solid $line; border-radius: $px4;
    padding: $px6 $px8; min-height: $px30;
    selection-background-color: $pressed; selection-color: $on_pressed;
}
QLineEdit:focus, QPlainTextEdit:focus, QTextEdit:focus { border: 3px solid $ink; }
QAbstractSpinBox, QComboBox { min-height: $px44; }
QAbstractSpinBox QLineEdit { border: 0; background: transparent; padding: 0 $px4; min-height: 0; }
QComboBox QAbstractItemView { background: $field; color: $ink; outline: 0; }

QListView, QTreeView, QTableView {
    background: $panel; border: 0; outline: 0;
    selection-background-color: $pressed; selection-color: $on_pressed;
}
QListView:focus, QTreeView:focus, QTableView:focus { border: 3px solid $ink; }
QListView::item { min-height: $px44; padding: $px4 $px8; }

QSlider { min-height: $px44; border: 3px solid transparent; }
QSlider:focus { border: 3px solid $ink; border-radius: $px6; }
QSlider::groove:horizontal { height: $px6; background: $line; border-radius: 3px; }
QSlider::sub-page:horizontal { background: $ink; border-radius: 3px; }
QSlider::handle:horizontal {
    width: $px22; margin: -$px8 0; border-radius: $px6; background: $pressed; border: 2px solid $on_pressed;
}
QSlider::handle:horizontal:disabled { background: $faint; }

QProgressBar {
    background: $field; color: $ink; border: $border solid $line; border-radius: $px4; min-height: $px22;
    text-align: center;
}
QProgressBar::chunk { background: $surround; }

QScrollBar:vertical { background: transparent; width: $px18; margin: 0; }
QScrollBar:horizontal { background: transparent; height: $px18; margin: 0; }
QScrollBar::handle { background: $line; border-radius: $px4; margin: 4px; }
QScrollBar::handle:vertical { min-height: $px44; }
QScrollBar::handle:horizontal { min-width: $px44; }
QScrollBar::handle:hover { background: $ink; }
QScrollBar::add-line, QScrollBar::sub-line { width: 0; height: 0; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }

QMenu { background: $field; color: $ink; border: $border solid $line; padding: $px4; }
QMenu::item { padding: $px8 $px22; min-height: $px28; }
QMenu::item:selected { background: $pressed; color: $on_pressed; }
QMenu::item:disabled { color: $faint; }
QMenu::separator { height: 1px; background: $line; margin: $px4; }
QMenuBar { background: $panel; }
QMenuBar::item { padding: $px6 $px12; }
QMenuBar::item:selected { background: $pressed; color: $on_pressed; }

QSplitter::handle { background: $line; }
QSplitter::handle:horizontal { width: 3px; }
QSplitter::handle:vertical { height: 3px; }
QStatusBar { background: $panel; border-top: $border solid $line; }
"""
