"""What can be done at arm's length, by which keys: one table, and what the painter has made of it.

A presenter's remote sends Page Up and Page Down, for its dark screen B or a full stop, F5 and Esc for its show; a
pedal sends arrows, Enter or Space. Every doing has a key at all times, and Esc closes whatever the table says.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence

Key = Qt.Key
MOST_KEYS = 6
"""So many keys of one doing are kept; the oldest give way."""
CLOSE = int(Key.Key_Escape)
_FOCUS = frozenset(map(int, (Key.Key_Tab, Key.Key_Backtab)))
_HELD_WITH = frozenset(map(int, (Key.Key_Shift, Key.Key_Control, Key.Key_Alt, Key.Key_AltGr, Key.Key_Meta)))
_NAMELESS = frozenset({0, int(Key.Key_unknown)})
_SHOWN = {
    Key.Key_Left: "←",
    Key.Key_Right: "→",
    Key.Key_Up: "↑",
    Key.Key_Down: "↓",
    Key.Key_PageUp: "Page ↑",
    Key.Key_PageDown: "Page ↓",
    Key.Key_Return: "Enter",
    Key.Key_Enter: "Enter",
    Key.Key_Space: "Space",
    Key.Key_Escape: "Esc",
    Key.Key_Period: ".",
}


@dataclass(frozen=True)
class Doing:
    """``word`` is on the button, if it has one (``button``); ``say`` tells what it does, ``keys`` are its usual ones.
    ``turns``: it is on or off."""

    name: str
    word: str
    say: str
    keys: tuple[Qt.Key, ...]
    button: bool = True
    turns: bool = False


DOINGS = (
    Doing("before", "Before", "the thing to mend before", (Key.Key_Left, Key.Key_PageUp, Key.Key_P)),
    Doing("next", "Next", "the next thing to mend", (Key.Key_N, Key.Key_Right, Key.Key_PageDown)),
    Doing("blink", "Blink", "reference and canvas change over", (Key.Key_B, Key.Key_Space, Key.Key_Period), turns=True),
    Doing("grey", "Grey", "all pictures in grey, or colour again", (Key.Key_G,), turns=True),
    Doing("steps", "Steps", "all in value steps, or colour again", (Key.Key_V,), turns=True),
    Doing("squint", "Squint", "blur all pictures", (Key.Key_Q,), turns=True),
    Doing("acetate", "Acetate", "the drawing over the pictures, or off", (Key.Key_L,), turns=True),
    Doing("closer", "Closer", "to the place, or all again", (Key.Key_Return, Key.Key_Enter, Key.Key_F5), turns=True),
    Doing("count", "One/two", "one picture, or two", (Key.Key_T,)),
    Doing("surround", "Surround", "dark, mid or light", (Key.Key_S,)),
    Doing("check", "Check", "check this canvas photo", (Key.Key_K,)),
    Doing("keys", "Keys…", "choose keys and pedals", (Key.Key_F2,)),
    Doing("close", "Close", "back to the desk", (Key.Key_Escape,)),
    Doing("one", "One picture", "one picture", (Key.Key_1,), button=False),
    Doing("two", "Two pictures", "two pictures", (Key.Key_2,), button=False),
    Doing("three", "Three pictures", "three pictures", (Key.Key_3,), button=False),
    Doing("older", "Older photo", "the canvas photo before", (Key.Key_Up,), button=False),
    Doing("newer", "Newer photo", "the canvas photo after", (Key.Key_Down,), button=False),
    Doing("lift", "Lift acetate", "lift the drawing while held", (Key.Key_A,), button=False),
    Doing("screen", "Other screen", "move to the other screen", (Key.Key_O,), button=False),
    Doing("help", "Help", "show or hide these words", (Key.Key_H, Key.Key_Question), button=False),
)  # fmt: skip
BY_NAME = {each.name: each for each in DOINGS}
GIVEN = tuple(each for each in DOINGS if each.name != "close")
"""The doings whose keys the painter may choose."""
_USUAL = {each.name: tuple(map(int, each.keys)) for each in DOINGS}


def shown_key(key: int) -> str:
    """A key as it is written on a button."""
    found = _SHOWN.get(Key(key)) if key in {int(each) for each in _SHOWN} else None
    return found or QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText) or f"key {key}"


def refused(key: int) -> str:
    """Why a key cannot be given to a doing, in a sentence; else empty."""
    if key == CLOSE:
        return "Esc always closes."
    if key in _FOCUS:
        return "Tab goes from button to button. Press another key."
    if key in _HELD_WITH:
        return "This key is only held with others. Press another key."
    if key in _NAMELESS:
        return "This key tells no name. Have the pedal send another, in its own set-up."
    return ""


@dataclass(frozen=True)
class Keys:
    """The keys of every doing, by name; no key has two doings, and no doing is without a key."""

    of: Mapping[str, tuple[int, ...]]

    @classmethod
    def usual(cls) -> "Keys":
        return cls(_USUAL)

    @classmethod
    def from_json(cls, data: Any) -> "Keys":
        """The keys that were kept; anything that cannot be used, and all are the usual ones."""
        try:
            found = _USUAL | {str(name): tuple(keys) for name, keys in data.items()}
        except (AttributeError, TypeError, ValueError):
            return cls.usual()
        return cls(found) if _is_sound(found) else cls.usual()

    def to_json(self) -> dict[str, list[int]]:
        """Only what is not as usual."""
        return {name: list(keys) for name, keys in self.of.items() if keys != _USUAL[name]}

    def doing(self, key: int) -> str:
        """The name of what a key does; empty when it does nothing."""
        return next((name for name, keys in self.of.items() if key in keys), "")

    def shown(self, name: str, most: int = MOST_KEYS) -> tuple[str, ...]:
        """The keys of a doing as they are written, each once."""
        return tuple(dict.fromkeys(map(shown_key, self.of[name])))[:most]

    def given(self, name: str, key: int) -> tuple["Keys", str]:
        """The keys once this one does that, and what has changed, in words.

        It is taken from what it did; a doing that would be left without a key gets the last one that ``name`` had.
        """
        trouble = refused(key)
        if trouble:
            return self, trouble
        word, own, other = BY_NAME[name].word, self.of[name], self.doing(key)
        if other == name:
            return self, f"{shown_key(key)} does “{word}” already."
        said = f"{shown_key(key)} does “{word}” now."
        after = dict(self.of)
        if other:
            left = tuple(each for each in self.of[other] if each != key)
            other_word = BY_NAME[other].word
            said += f" It did “{other_word}” before."
            if not left:
                left, own = own[-1:], own[:-1]
                said += f" “{other_word}” has {shown_key(left[0])} instead."
            after[other] = left
        after[name] = (key, *own)[:MOST_KEYS]
        return replace(self, of=after), said


def _is_sound(found: Mapping[str, tuple[Any, ...]]) -> bool:
    keys = [key for each in found.values() for key in each]
    whole = all(type(key) is int and (key == CLOSE or not refused(key)) for key in keys)
    own = set(found) == set(_USUAL) and found["close"] == _USUAL["close"]
    return own and whole and len(set(keys)) == len(keys) and all(0 < len(each) <= MOST_KEYS for each in found.values())
