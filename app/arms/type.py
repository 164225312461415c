"""Type that is read from two metres: real points on the screen that it is shown on.

At two metres 40 points have capitals of 10.3 mm (Inter's are 0.727 of the size high), 17.6 minutes of arc. ISO
9241-303:2011 asks for 16 minutes at least, and commends 20 to 22 (from memory).
"""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QScreen

from app.look import FAMILY

SENTENCE_PT = 40.0
COUNT_PT = 24.0
NOTE_PT = 16.0
_LEAST_DPI, _MOST_DPI = 72.0, 160.0
_ENDLESS = 1e6


def dots_per_inch(screen: QScreen | None) -> float:
    """Logical dots per inch of the screen; the true ones where they are more, so that no type is smaller than it says.

    A screen that claims more than 160 is not believed: television sets and projectors often report a wrong size.
    """
    if screen is None:
        return 96.0
    true = screen.physicalDotsPerInch()
    return max(screen.logicalDotsPerInch(), true if _LEAST_DPI <= true <= _MOST_DPI else 0.0)


def font(points: float, screen: QScreen | None, *, strong: bool = False) -> QFont:
    """The house type at this size; figures as wide as they are: in large type those of equal width gape."""
    made = QFont(FAMILY)
    made.setPixelSize(max(1, round(points / 72.0 * dots_per_inch(screen))))
    made.setWeight(QFont.Weight.DemiBold if strong else QFont.Weight.Normal)
    if hasattr(made, "setFeature"):
        made.setFeature(QFont.Tag("tnum"), 0)  # a widget's own type would else put its features in
    return made


def height_of(text: str, font: QFont, width: float) -> float:
    """How high a text is when it is broken into lines of this width; infinite where a word is wider."""
    metrics = QFontMetricsF(font)
    if not text:
        return 0.0
    took = metrics.boundingRect(QRectF(0, 0, max(width, 1.0), _ENDLESS), Qt.TextFlag.TextWordWrap, text)
    return took.height() if took.width() <= width + 1.0 else float("inf")


def width_of(text: str, font: QFont) -> float:
    return QFontMetricsF(font).horizontalAdvance(text)
