"""The reference as it hangs beside the live canvas, in the same look."""

from dataclasses import replace
from typing import TYPE_CHECKING

from app import hangings
from app.hangings import hang, plain_sheet, print_key
from app.live.making import Order
from app.live.settings import LiveView
from app.studio import Studio
from app.view import Hung, Look, Subject
from app.wall.acetate import Acetate
from app.wall.hanging import Hanging

if TYPE_CHECKING:
    from app.prints import Print


def reference_hanging(studio: Studio, live: LiveView) -> Hanging:
    """What is there; a better picture is begun, and ``studio.wall_changed`` says when it is ready."""
    material = studio.material()
    view = replace(material.view, squint=live.squint, grid=False, values=replace(material.view.values, alone=None))
    material = replace(material, view=view, marks=None, laid_over=(), checked=None)
    hung = Hung(Subject.REFERENCE, live.look, live.acetate)
    key = print_key(material, hung)
    made: Print | None = None
    if key is not None:
        plainer = map(studio.room.ready_print, key.plainer())
        made = studio.room.print(key) or next((each for each in plainer if each is not None), None)
    return studio.stand_in("Reference") if made is None else hang(material, hung, made)


def is_there(hanging: Hanging | None) -> bool:
    """Whether it is the reference that hangs, not what stands in for it."""
    return hanging is not None and hanging.picture is not plain_sheet()


def acetate_of(studio: Studio, live: LiveView) -> Acetate | None:
    """The drawing in the style of the wall's; None where there is none, or it is not wanted."""
    ink = studio.material().ink
    return None if ink is None or not live.acetate else hangings.acetate_of(ink, studio.view)


def order_of(studio: Studio, live: LiveView, width_px: int) -> Order:
    """What the picture is to be made like; steps and squint are the wall's."""
    view = studio.view
    boundaries = studio.values.boundaries() if live.look is Look.STEPS else None
    return Order(
        kind=live.look.value,
        boundaries=boundaries or (),
        squint_mm=view.squint_mm if live.squint else 0.0,
        flat=live.flat,
        width_px=width_px,
        matched=live.matched,
    )


def look_words(studio: Studio, live: LiveView) -> str:
    """The look, as it stands in the title."""
    return {Look.GREY: "grey", Look.STEPS: f"{studio.view.steps} steps"}.get(live.look, "")
