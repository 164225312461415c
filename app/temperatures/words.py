"""How warmth is told: numbers with the words for them."""

from typing import TYPE_CHECKING

from core.words import signed

if TYPE_CHECKING:
    from core.temperature.neutral import Balance
    from core.temperature.pins import Pin, Relation

WHAT_IT_IS = (
    "The numbers are T: how far a colour lies towards the warm side (hue 50° of CIELAB), neutral grey being 0. A "
    "difference under 2 is the same, under 5 a touch, under 10 warmer or cooler, from there much."
)


def against(relation: "Relation") -> str:
    """A place against what lies round it, such as ``A touch warmer than what lies round it, by 3 ± 1.``"""
    size, within = abs(relation.difference), _within(relation.uncertainty)
    if relation.difference and size >= relation.words.same and relation.sure:
        word = relation.word
        return f"{word[:1].upper()}{word[1:]} than {relation.other}, by {size:.0f} {within}."
    say = relation.say()
    return f"{say[:1].upper()}{say[1:]}."


def shortly(relation: "Relation") -> tuple[str, ...]:
    """The same beside the pointer: ``+3``, and under it ``a touch warmer``."""
    told = relation.sure or abs(relation.difference) < relation.words.same
    return signed(relation.difference), relation.word if told else "cannot be told"


def own(pin: "Pin", balance: "Balance") -> str:
    """T itself, where the white balance is known: ``T 12 ± 3``; else empty."""
    if not balance.absolute:
        return ""
    doubt = (pin.uncertainty**2 + balance.doubt(pin.light) ** 2) ** 0.5
    return f"T {signed(pin.warmth)} ± {max(1.0, doubt):.0f}"


def _within(uncertainty: float) -> str:
    return f"± {max(0.5, uncertainty):.1f}" if uncertainty < 1 else f"± {uncertainty:.0f}"
