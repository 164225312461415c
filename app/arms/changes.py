"""What the doings at arm's length make of the view. Looks act on all pictures at once: nobody chooses one from afar."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from app.view import Look, View


def all_in(look: Look, view: View) -> View:
    """Every picture in this look, or in colour again when all are."""
    wanted = Look.COLOUR if is_all_in(look, view) else look
    return replace(view, hung=tuple(replace(each, look=wanted) for each in view.hung))


def is_all_in(look: Look, view: View) -> bool:
    return all(each.look is look for each in view.hung)


def lay_acetate(view: View) -> View:
    """The drawing over every picture, or over none when it lies over all."""
    on = not has_acetate(view)
    return replace(view, hung=tuple(replace(each, acetate=on) for each in view.hung))


def has_acetate(view: View) -> bool:
    return all(each.acetate for each in view.hung)


CHANGES: dict[str, Callable[[View], View]] = {
    "grey": partial(all_in, Look.GREY),
    "steps": partial(all_in, Look.STEPS),
    "squint": lambda v: replace(v, squint=not v.squint),
    "count": lambda v: v.with_count(2 if len(v.hung) == 1 else 1),
    "one": lambda v: v.with_count(1),
    "two": lambda v: v.with_count(2),
    "three": lambda v: v.with_count(3),
}


def what_is_on(view: View) -> dict[str, bool]:
    """Whether each doing that is on or off is on, as far as the view knows."""
    return {
        "grey": is_all_in(Look.GREY, view),
        "steps": is_all_in(Look.STEPS, view),
        "squint": view.squint,
        "acetate": has_acetate(view),
    }
