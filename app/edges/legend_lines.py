"""The four kinds of edge as the plan draws them, each with its line in words and its share of the edges."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen

from app import look
from app.questions.legend_column import LegendColumn
from app.wall.edge_lines import PEN_PX
from core.edge.kinds import EdgeKind
from core.words import as_share

_SAMPLE_PX, _GAP_PX = 58.0, 10.0
_DOT = 0.01


@dataclass(frozen=True)
class LegendRow:
    """``pattern``: the line in words. ``share``: as it is written; empty while it is not known."""

    kind: EdgeKind
    pattern: str
    share: str = ""


def legend_rows(shares: tuple[float, ...] = ()) -> tuple[LegendRow, ...]:
    """From hard to lost; ``shares`` 0-1 of each."""
    from core.edge.plan import KINDS
    from core.edge.styles import PATTERNS

    told = [as_share(share) for share in shares] or [""] * len(KINDS)
    return tuple(LegendRow(kind, PATTERNS[kind], share) for kind, share in zip(KINDS, told, strict=True))


class LegendLines(LegendColumn):
    """``rows`` are :class:`LegendRow`. Lines lie on paper, as over the faded picture."""

    font_role = "strong"
    between_px = 10.0

    def in_words(self) -> str:
        said = (f"{row.kind}: {row.pattern}{f', {row.share}' if row.share else ''}" for row in self.rows)
        return "Lines of the plan: " + "; ".join(said)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        high, sample, gap = self.row_px(), look.px(_SAMPLE_PX), look.px(_GAP_PX)
        strong, note = QFontMetricsF(look.font("strong")), QFontMetricsF(look.font("note"))
        kinds = max((strong.horizontalAdvance(_named(row)) for row in self.rows), default=0.0)
        shares = max((strong.horizontalAdvance(row.share) for row in self.rows), default=0.0)
        room = self.width() - sample - kinds - shares - 3 * gap
        patterns = all(note.horizontalAdvance(row.pattern) <= room for row in self.rows)
        for number, row in enumerate(self.rows):
            line = QRectF(0, number * high, self.width(), high)
            ground = QRectF(0, line.top() + 1, sample, high - 2)
            painter.fillRect(ground, look.PAPER)
            paint_sample(painter, row.kind, ground.adjusted(6, 0, -6, 0))
            painter.setPen(look.shades().colour("ink"))
            painter.setFont(look.font("strong"))
            middle = Qt.AlignmentFlag.AlignVCenter
            named = line.adjusted(sample + gap, 0, 0, 0)
            painter.drawText(named, middle | Qt.AlignmentFlag.AlignLeft, _named(row))
            painter.drawText(line, middle | Qt.AlignmentFlag.AlignRight, row.share)
            if patterns:
                between = named.adjusted(kinds + gap, 0, 0, 0)
                painter.setFont(look.font("note"))
                painter.setPen(look.shades().colour("quiet"))
                painter.drawText(between, middle | Qt.AlignmentFlag.AlignLeft, row.pattern)


def paint_sample(painter: QPainter, kind: EdgeKind, room: QRectF) -> None:
    """A line of one kind across the middle of a room, as the plan draws it."""
    from core.edge.styles import STYLES

    style, pen_px = STYLES[kind], look.px(PEN_PX)
    drawn = QPen(QColor(style.grey, style.grey, style.grey), style.width * pen_px)
    drawn.setCapStyle(Qt.PenCapStyle.RoundCap if style.gap and not style.dash else Qt.PenCapStyle.FlatCap)
    if style.gap:
        drawn.setDashPattern([(style.dash or _DOT) / style.width, style.gap / style.width])
    painter.setPen(drawn)
    y = room.center().y()
    painter.drawLine(QPointF(room.left(), y), QPointF(room.right(), y))


def _named(row: LegendRow) -> str:
    return str(row.kind).capitalize()
