"""What the tests of the edge question share: discs with known edges, measured once, open in a window."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

import core.edges
from app.questions.edge import EdgePanel
from app.view import Hung, Look, Question, Subject, View
from app.work import Worker
from core.colorimetry import encode_srgb, luminance_of_value
from core.edge.brief import EdgeBrief
from core.edge.kinds import EdgeKind
from core.edge.plan import KINDS
from core.edges import MeasuredReference
from core.painting import Painting
from core.photo import load_photo
from core.size import Size
from tests.app.window_case import Easel, make_easel
from tests.core.edge.plan_cases import discs

SIZE = Size(160, 120)
PX_PER_MM = 4
SHARP, WIDE, FAINT = (45.0, 60.0), (115.0, 60.0), (80.0, 20.0)
RADIUS_MM = {SHARP: 25.0, WIDE: 25.0, FAINT: 10.0}
SIGMA_MM = {SHARP: 0.2, WIDE: 1.0, FAINT: 0.2}
STEPS = {SHARP: 4.0, WIDE: 4.0, FAINT: 1.0}
"""Discs by their middle, mm. The usual bounds of so small a canvas are 0.2, 0.6 and 1.6 mm."""
CORNERS = ((-0.5, -0.5), (639.5, -0.5), (639.5, 479.5), (-0.5, 479.5))


def rim(disc: tuple[float, float], turn_deg: float = 0.0) -> tuple[float, float]:
    """A place on the edge of a disc."""
    turn = np.radians(turn_deg)
    return disc[0] + RADIUS_MM[disc] * float(np.cos(turn)), disc[1] + RADIUS_MM[disc] * float(np.sin(turn))


@cache
def picture() -> NDArray[np.uint8]:
    """The discs in sRGB at 4 px/mm."""
    rows = [(x, y, RADIUS_MM[x, y], SIGMA_MM[x, y], STEPS[x, y]) for x, y in (SHARP, WIDE, FAINT)]
    value = discs(SIZE.width_mm, SIZE.height_mm, PX_PER_MM, rows)
    grey = np.rint(255 * encode_srgb(luminance_of_value(value))).astype(np.uint8)
    return np.repeat(grey[:, :, None], 3, axis=2)


@cache
def measured(file: Path) -> MeasuredReference:
    """Measured once: half a second for each window would be too long."""
    return core.edges.measure_reference(load_photo(file), SIZE)


def edge_easel(qtbot: QtBot, worker: Worker, folder: Path, monkeypatch: pytest.MonkeyPatch, shared: Path) -> Easel:
    """A painting of the discs, with a canvas photo of them, the edge panel open. ``shared``: a folder that the tests of
    one module have in common."""
    file = shared / "discs.png"
    if not file.exists():
        Image.fromarray(picture()).save(file)
    found = measured(file)
    monkeypatch.setattr(core.edges, "measure_reference", lambda *_, **__: found)
    with Painting.create(folder / "painting", "Discs", SIZE, file) as painting:
        photo = painting.add_canvas_photo(painting.import_photo(file).id, name="canvas")
        painting.set_corners(photo.id, CORNERS)
    made = make_easel(qtbot, worker, folder)
    made.window.open_painting(folder / "painting")
    made.desk.studio.change_view(view(made))
    return made


def view(easel: Easel) -> View:
    """Reference and canvas side by side."""
    photo_id = easel.desk.studio.canvas_photos[0].id
    return View(hung=(Hung(), Hung(Subject.CANVAS)), canvas_photo=photo_id, question=Question.EDGE)


def panel(easel: Easel) -> EdgePanel:
    found: EdgePanel = easel.desk.side.edge
    return found


def brief(easel: Easel) -> EdgeBrief:
    found: EdgeBrief = easel.desk.studio.edges.brief
    return found


def planned(easel: Easel, disc: tuple[float, float]) -> set[EdgeKind]:
    """The kinds that the plan has around a disc."""
    plan = easel.desk.studio.edges.plan()
    away = np.hypot(plan.edges.x_mm - disc[0], plan.edges.y_mm - disc[1])
    there = (np.abs(away - RADIUS_MM[disc]) < 1.5) & (plan.lines.line >= 0)
    return {KINDS[kind] for kind in plan.kind[there]}


def looks(easel: Easel) -> list[Look]:
    return [hung.look for hung in easel.desk.studio.view.hung]


def drag(easel: Easel, *places: tuple[float, float], which: int = 0) -> None:
    """Press on the first place, mm, move over the others, and let go at the last."""
    left, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    sheet = easel.desk.wall.sheets[which]

    def send(kind: QEvent.Type, at: tuple[float, float], button: Qt.MouseButton, held: Qt.MouseButton) -> None:
        where = sheet.placed().point(*at)
        over = QPointF(sheet.mapToGlobal(where.toPoint()))
        QApplication.sendEvent(sheet, QMouseEvent(kind, where, over, button, held, Qt.KeyboardModifier.NoModifier))

    send(QEvent.Type.MouseButtonPress, places[0], left, left)
    for place in places[1:]:
        send(QEvent.Type.MouseMove, place, none, left)
    send(QEvent.Type.MouseButtonRelease, places[-1], left, none)
