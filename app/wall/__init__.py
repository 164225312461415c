"""The wall: pictures hung side by side under one shared zoom, what is laid over them, and the placing of corners."""

from app.wall.acetate import Acetate
from app.wall.areas import NumberedArea, NumberedAreas
from app.wall.arrows import DriftArrow, DriftArrows
from app.wall.corner_placer import CornerPlacer
from app.wall.hanging import Hanging, Overlay
from app.wall.legend import Legend
from app.wall.mapping import Mapping
from app.wall.sight import Placed, Sight
from app.wall.wall_view import BLINK_KEY, LIFT_KEY, WallView

__all__ = [
    "BLINK_KEY",
    "LIFT_KEY",
    "Acetate",
    "CornerPlacer",
    "DriftArrow",
    "DriftArrows",
    "Hanging",
    "Legend",
    "Mapping",
    "NumberedArea",
    "NumberedAreas",
    "Overlay",
    "Placed",
    "Sight",
    "WallView",
]
