"""The page on which lines are traced: bar, reference and lines; every line is kept as soon as it is drawn."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QKeyEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.checking import Say
from app.hangings import ACETATE
from app.prints import PrintKey, Sheet
from app.studio import Studio
from app.tracing.bar import TraceBar
from app.tracing.eraser import RADII_MM, Eraser
from app.tracing.follower import Follower
from app.tracing.foot import TraceFoot
from app.tracing.marker import Marker
from app.tracing.naming import Naming
from app.tracing.pen import Pen
from app.tracing.points import Points
from app.tracing.straight import Straight
from app.tracing.suggester import Suggester
from app.tracing.tool import Tool
from app.tracing.view import TraceView
from app.view import Look, Subject
from app.wall.kinds import KINDS, Kind
from app.work import Progress
from core.drawing.drawing import Drawing
from core.size import Size

if TYPE_CHECKING:
    from core.drawing.snap import Edges
    from core.drawing.suggest import Suggestion

EDGES = "edges of the reference"
FADES = (0.0, 0.35, 0.65, 0.9)
LINES = "lines of the reference"
TOOLS = (
    "trace_pen", "trace_follow", "trace_straight", "trace_points", "trace_eraser", "trace_landmark", "trace_suggest",
)  # fmt: skip
ACTIONS = (*TOOLS, "trace_snap", "trace_kind", "trace_fade")


class TracePage(QWidget):
    """Follows the studio while it is shown."""

    left = Signal()

    def __init__(self, studio: Studio, actions: dict[str, QAction], say: Say, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio, self._actions, self._say = studio, actions, say
        self._on = False
        self._grey = False
        self._edges_of: Sheet | None = None
        self._lines_of: Sheet | None = None
        self.view = TraceView()
        self.board = self.view.board
        self.naming = Naming(self.view.sheet)
        self.pen, self.follower, self.straight = Pen(self.board), Follower(self.board), Straight(self.board)
        self.points, self.eraser = Points(self.board), Eraser(self.board)
        self.marker = Marker(self.board, self.naming)
        self.suggester = Suggester(self.board)
        self.tools: tuple[Tool, ...] = (
            self.pen, self.follower, self.straight, self.points, self.eraser, self.marker, self.suggester
        )  # fmt: skip
        self.bar = TraceBar(actions, self.tools)
        self.foot = TraceFoot()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        for part, stretch in ((self.bar, 0), (self.view, 1), (self.foot, 0)):
            column.addWidget(part, stretch)
        self.view.set_tools(self.pen, self.eraser)
        self.foot.show_tool(self.pen)
        self._connect()

    def handlers(self) -> dict[str, Callable[[], object]]:
        """What the actions do on this page."""
        tools = {tool.name: partial(self.take_up, tool) for tool in self.tools}
        return tools | {
            "trace_snap": self._toggle_snapping,
            "trace_kind": self._next_kind,
            "trace_fade": self._fade_more,
            "grey": self._toggle_grey,
            "fit": self.view.fit,
        }

    def begin(self) -> bool:
        """Show the reference and the drawing, or say why not."""
        studio = self._studio
        if studio.source(Subject.REFERENCE) is None:
            self._say("The reference is not there to be traced. Choose the photograph this is painted from.")
            return False
        if studio.painting.read_only:
            self._say("This painting is open only to look, so no lines can be drawn in it.")
            return False
        self._on = True
        self._grey = studio.view.chosen.look is not Look.COLOUR
        self.board.colour = ACETATE[studio.view.acetate.colour]
        studio.rest(True)
        self._show_picture()
        self._show_drawing()
        self.view.fit()
        self.refresh()
        self.view.setFocus()
        return True

    def end(self) -> None:
        """What is in hand is taken back; the rest was kept long ago."""
        if self._on:
            self._on = False
            self.view.let_go()
            self.take_up(self.pen)
            for channel in (EDGES, LINES):
                self._studio.worker.cancel(channel)
            if self.board.edges is None:
                self._edges_of = None  # looked for again when the page is shown again
            self._studio.rest(False)

    def take_up(self, tool: Tool) -> None:
        """Another tool in the hand."""
        self.view.take_up(tool)
        if tool is self.suggester:
            self._find_lines()
        self.refresh()
        self.view.setFocus()

    def choose_kind(self, kind: Kind) -> None:
        """What is drawn from now on; and the chosen line, where one is chosen."""
        self.board.kind = kind
        if self.view.tool is self.points:
            self.points.make(kind)
        self.refresh()

    def refresh(self) -> None:
        """Bring the buttons to where everything is."""
        tool = self.view.tool
        self.bar.show_tool(tool)
        self.bar.show_kind(self.board.kind)
        self.foot.show_tool(tool)
        self.foot.show_radius(self.eraser.radius_mm)
        self.foot.show_chosen(line=self.points.chosen is not None, node=self.points.chosen_node is not None)
        self._actions["trace_snap"].setChecked(self.board.snapping)
        self._actions["grey"].setChecked(self._grey)

    def restyle(self) -> None:
        """The size of the type has changed."""
        self.bar.restyle()
        self.foot.restyle()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def _connect(self) -> None:
        studio, bar, foot, board = self._studio, self.bar, self.foot, self.board
        studio.drawing_changed.connect(self._show_drawing)
        studio.wall_changed.connect(self._show_picture)
        self.view.gave_up.connect(self.left)
        bar.done.connect(self.left)
        bar.kind_chosen.connect(self.choose_kind)
        bar.faded.connect(self.view.fade)
        foot.radius_stepped.connect(self._step_radius)
        foot.take_out_wished.connect(self.points.take_out_point)
        foot.remove_wished.connect(self.points.remove_line)
        foot.amount.setValue(round(100 * self.suggester.amount))
        foot.amount_chosen.connect(self.suggester.set_amount)
        foot.take_all_wished.connect(self.suggester.take_all)
        foot.brush_chosen.connect(self._choose_brush)
        board.edited.connect(studio.keep_drawing)
        board.said.connect(partial(self._say, passing=True))
        board.chosen_changed.connect(self._show_chosen)
        self.naming.given_up.connect(self.view.setFocus)
        self.naming.named.connect(lambda _name: self.naming.isHidden() and self.view.setFocus())
        self.naming.removed.connect(self.view.setFocus)

    def _show_picture(self) -> None:
        """The reference as fine as it is ready; better pictures are begun and follow."""
        source = self._studio.source(Subject.REFERENCE) if self._on else None
        if source is None:
            return
        self.view.set_canvas(source.size)
        wanted = PrintKey(source, flat=True, look=Look.GREY if self._grey else Look.COLOUR)
        other = PrintKey(source, flat=True, look=Look.COLOUR if self._grey else Look.GREY)
        room = self._studio.room
        made = room.print(wanted) or room.ready_print(other)
        bare = self.board.bare
        if made is None:
            stand_in = self._studio.stand_in("Reference")
            self.view.show_picture(stand_in.picture, stand_in.mapping)
        elif bare is None or bare.picture is not made.picture:
            self.view.show_picture(made.picture, made.mapping)
        self._find_edges(room.value(source))

    def _find_edges(self, sheet: Sheet | None) -> None:
        if sheet is None or sheet is self._edges_of:
            return
        self._edges_of = sheet
        self.board.edges = None
        self._studio.worker.run(EDGES, partial(_edges, sheet), self._take_edges, self._say)

    def _take_edges(self, edges: "Edges") -> None:
        self.board.edges = edges
        if self.view.tool is self.suggester:
            self._find_lines()

    def _find_lines(self) -> None:
        """Look for lines to suggest, once for each reference."""
        sheet = self._edges_of
        if sheet is None or sheet is self._lines_of:
            return
        self.suggester.offer(None)

        def offer(found: "Suggestion") -> None:
            self._lines_of = sheet
            self._say("")
            self.suggester.offer(found)
            if not found.lines:
                self._say("No lines were found in the reference.")

        self._studio.worker.run(LINES, partial(_lines, sheet, self._studio.painting.size), offer, self._say)

    def _show_drawing(self) -> None:
        drawing = self._studio.drawing or Drawing(self._studio.painting.size)
        if self._on and drawing is not self.board.drawing:
            self.board.show(drawing)
            self.board.chosen_changed.emit()

    def _show_chosen(self) -> None:
        index = self.points.chosen
        if index is not None:
            layer = self.board.drawing.lines[index].layer
            self.board.kind = next((kind for kind in KINDS if kind.layer == layer), self.board.kind)
        self.refresh()

    def _choose_brush(self, takes: bool) -> None:
        self.suggester.takes = takes

    def _toggle_snapping(self) -> None:
        self.board.snapping = not self.board.snapping
        self.refresh()

    def _next_kind(self) -> None:
        self.choose_kind(KINDS[(KINDS.index(self.board.kind) + 1) % len(KINDS)])

    def _toggle_grey(self) -> None:
        self._grey = not self._grey
        self._show_picture()
        self.refresh()

    def _fade_more(self) -> None:
        now = self.bar.fade.value() / 100
        share = next((fade for fade in FADES if fade > now + 0.01), FADES[0])
        self.bar.fade.setValue(round(100 * share))

    def _step_radius(self, by: int) -> None:
        at = RADII_MM.index(self.eraser.radius_mm) + by
        self.eraser.set_radius(RADII_MM[min(max(at, 0), len(RADII_MM) - 1)])
        self.refresh()


def _edges(sheet: Sheet, progress: Progress) -> "Edges":
    from core.drawing.snap import edges_of
    from core.tone import value_map

    progress(say="Finding the edges of the reference")
    return edges_of(value_map(sheet.codes, sheet.curve), sheet.mapping.px_per_mm)


def _lines(sheet: Sheet, size: Size, progress: Progress) -> "Suggestion":
    from core.canvas.flat import Flat
    from core.drawing.suggest import suggest_lines
    from core.tone import linear_of_codes

    light = linear_of_codes(sheet.codes, sheet.curve)
    return suggest_lines(Flat(light, sheet.mapping.px_per_mm, size), progress=progress)
