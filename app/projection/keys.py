"""The keys of the projected picture: one table, answered by the window and written at its foot."""

from dataclasses import dataclass

from PySide6.QtCore import Qt

Key = Qt.Key
_ARROWS = (Key.Key_Left, Key.Key_Right, Key.Key_Up, Key.Key_Down)


@dataclass(frozen=True)
class ThrowKey:
    """``keys`` do what ``name`` says; ``show`` and ``say`` are what the painter reads."""

    name: str
    show: str
    say: str
    keys: tuple[Qt.Key, ...]


THROW_KEYS = (
    ThrowKey("corner", "1–4", "choose a corner (or Tab)", (Key.Key_1, Key.Key_2, Key.Key_3, Key.Key_4)),
    ThrowKey("nudge", "arrows", "nudge it: 1 px, Shift 10, Alt ¼", _ARROWS),
    ThrowKey("done", "Enter", "the corners are placed", (Key.Key_Return, Key.Key_Enter)),
    ThrowKey("lines", "L", "the drawing", (Key.Key_L,)),
    ThrowKey("colour", "C", "the reference in colour", (Key.Key_C,)),
    ThrowKey("grey", "G", "in grey", (Key.Key_G,)),
    ThrowKey("step", "V", "one value step", (Key.Key_V,)),
    ThrowKey("walk", "Page ↑ ↓", "a lighter, darker step", (Key.Key_PageUp, Key.Key_PageDown)),
    ThrowKey("corners", "K", "corner marks", (Key.Key_K,)),
    ThrowKey("marks", "M", "marks to measure by", (Key.Key_M,)),
    ThrowKey("dark", "B", "black", (Key.Key_B,)),
    ThrowKey("brightness", "+  −", "brighter, dimmer", (Key.Key_Plus, Key.Key_Equal, Key.Key_Minus)),
    ThrowKey("weight", "W  F", "wider, finer lines", (Key.Key_W, Key.Key_F)),
    ThrowKey("help", "H", "hide or show these words", (Key.Key_H, Key.Key_Question)),
    ThrowKey("close", "Esc", "close", (Key.Key_Escape,)),
)  # fmt: skip


def name_of(key: int) -> str:
    """What a key is for; empty when for nothing."""
    return next((each.name for each in THROW_KEYS if key in each.keys), "")
