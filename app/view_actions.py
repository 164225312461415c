"""What the actions of the wall do to the view, and which of them are on: one table, plain functions."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from app.view import Look, Question, Subject, View


def _open(question: Question, view: View) -> View:
    return view.open_question(question)


def with_panel(look: Look, question: Question, view: View) -> View:
    """Show it, with the panel beside it that says how it is read; or colour again."""
    shown = view.toggle_look(look)
    return replace(shown, question=question) if shown.chosen.look is look else shown


CHANGES: dict[str, Callable[[View], View]] = {
    "grey": lambda v: v.toggle_look(Look.GREY),
    "steps": lambda v: v.toggle_look(Look.STEPS),
    "fewer_steps": lambda v: v.steps_by(-1),
    "more_steps": lambda v: v.steps_by(1),
    "step_alone": lambda v: v.step_alone(0),
    "darker_step": lambda v: v.step_alone(-1),
    "lighter_step": lambda v: v.step_alone(1),
    "underpainting": lambda v: v.toggle_look(Look.UNDERPAINTING),
    "warmth": partial(with_panel, Look.WARMTH, Question.TEMPERATURE),
    "lean": partial(with_panel, Look.LEAN, Question.TEMPERATURE),
    "families": partial(with_panel, Look.FAMILIES, Question.TEMPERATURE),
    "edge_plan": partial(with_panel, Look.EDGE_PLAN, Question.EDGE),
    "squint": lambda v: replace(v, squint=not v.squint),
    "squint_less": lambda v: v.squint_by(-1),
    "squint_more": lambda v: v.squint_by(1),
    "one": lambda v: v.with_count(1),
    "two": lambda v: v.with_count(2),
    "three": lambda v: v.with_count(3),
    "reference": lambda v: v.show_subject(Subject.REFERENCE),
    "as_shot": lambda v: replace(v, as_shot=not v.as_shot),
    "numbers_at_pointer": lambda v: replace(v, numbers_at_pointer=not v.numbers_at_pointer),
    "ledge": lambda v: replace(v, ledge=not v.ledge),
    "grid": lambda v: replace(v, grid=not v.grid),
    "plumb": lambda v: replace(v, plumb=not v.plumb),
}
CHANGES |= {f"question_{question}": partial(_open, question) for question in Question}


def what_is_on(view: View) -> dict[str, bool]:
    """Whether each action that shows its state is on."""
    chosen = view.chosen
    return {
        "grey": chosen.look is Look.GREY,
        "steps": chosen.look is Look.STEPS,
        "difference": chosen.look is Look.DIFFERENCE,
        "squint": view.squint,
        "acetate": chosen.acetate,
        "one": len(view.hung) == 1,
        "two": len(view.hung) == 2,
        "three": len(view.hung) == 3,
        "reference": chosen.subject is Subject.REFERENCE,
        "canvas": chosen.subject is Subject.CANVAS,
        "as_shot": view.as_shot,
        "light_out": view.light_out,
        "hang_grey_pair": view.is_grey_pair,
        "numbers_at_pointer": view.numbers_at_pointer,
        "ledge": view.ledge,
        "grid": view.grid,
        "plumb": view.plumb,
        "step_alone": view.values.alone is not None,
        "underpainting": chosen.look is Look.UNDERPAINTING,
        "first_marks": view.values.marks,
        "order_of_work": view.values.order,
        "keying": view.values.is_keyed,
        "beyond_reach": view.values.beyond,
        "warmth": chosen.look is Look.WARMTH,
        "lean": chosen.look is Look.LEAN,
        "families": chosen.look is Look.FAMILIES,
        "warmth_difference": chosen.look is Look.WARMTH_DIFFERENCE,
        "edge_plan": chosen.look is Look.EDGE_PLAN,
        "seen": chosen.look is Look.SEEN,
    } | {f"question_{question}": view.question is question for question in Question}
