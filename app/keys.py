"""The keys: one table, from which the shortcuts are made and the sheet shown on ``?``."""

from dataclasses import dataclass

from PySide6.QtGui import QKeySequence

Standard = QKeySequence.StandardKey


@dataclass(frozen=True)
class Key:
    """``keys`` are the shortcuts of the window's action of this ``name``; none when the wall itself answers."""

    name: str
    show: str
    say: str
    keys: tuple[str | Standard, ...] = ()


LOOKS = "How a picture is shown"
WALL = "The wall"
CANVAS = "Canvas photos and the check"
TRACING = "Tracing lines over the reference"
REST = "Panels and the painting"

KEYS: dict[str, tuple[Key, ...]] = {
    LOOKS: (
        Key("grey", "G", "grey, or colour again", ("G",)),
        Key("steps", "V", "value steps, or colour again", ("V",)),
        Key("fewer_steps", "[", "fewer value steps", ("[",)),
        Key("more_steps", "]", "more value steps", ("]",)),
        Key("step_alone", "Shift+V", "one value step alone, or all", ("Shift+V",)),
        Key("darker_step", "Shift+D", "the next darker step alone", ("Shift+D",)),
        Key("lighter_step", "Shift+L", "the next lighter step alone", ("Shift+L",)),
        Key("squint", "Q", "squint: blur all pictures", ("Q",)),
        Key("squint_less", ",", "squint less", (",",)),
        Key("squint_more", ".", "squint harder", (".",)),
        Key("keying", "Shift+K", "key the reference to the paint’s reach", ("Shift+K",)),
        Key("beyond_reach", "Shift+B", "hatch what is beyond that reach", ("Shift+B",)),
        Key("underpainting", "Shift+U", "the reference as an underpainting", ("Shift+U",)),
        Key("difference", "D", "value difference, in steps", ("D",)),
        Key("warmth", "Shift+T", "warmth against what lies round it", ("Shift+T",)),
        Key("warmth_difference", "Ctrl+T", "warmth difference", ("Ctrl+T",)),
        Key("lean", "Shift+H", "which way neutrals lean", ("Shift+H",)),
        Key("families", "Shift+Y", "light and shadow families", ("Shift+Y",)),
        Key("edge_plan", "Shift+E", "edge plan over the reference", ("Shift+E",)),
        Key("seen", "Shift+Q", "the reference as the eye sees it", ("Shift+Q",)),
        Key("acetate", "L", "lay the acetate over, or take it off", ("L",)),
        Key("lift", "hold A", "lift the acetate for a look"),
        Key("blink", "hold B", "blink between reference and canvas"),
    ),
    WALL: (
        Key("one", "1", "hang one picture", ("1",)),
        Key("two", "2", "hang two pictures", ("2",)),
        Key("three", "3", "hang three pictures", ("3",)),
        Key("reference", "R", "reference in the chosen place", ("R",)),
        Key("canvas", "C", "canvas photo in the chosen place", ("C",)),
        Key("as_shot", "F", "canvas laid flat, or as shot", ("F",)),
        Key("light_out", "Shift+F", "its light taken out, or left in", ("Shift+F",)),
        Key("hang_grey_pair", "Shift+C", "reference and canvas in grey", ("Shift+C",)),
        Key("numbers_at_pointer", "Shift+X", "their values beside the pointer", ("Shift+X",)),
        Key("next_place", "Tab", "choose the next place on the wall"),
        Key("zoom", "+  −", "closer, further away (or the wheel)"),
        Key("fit", "0", "the whole canvas"),
        Key("pan", "← ↑ → ↓", "move across the canvas"),
        Key("measure", "M", "measure from point to point", ("M",)),
        Key("nudge", "arrows", "nudge its end (Delete: take it away)"),
        Key("first_marks", "Shift+M", "first marks over the reference", ("Shift+M",)),
        Key("order_of_work", "Shift+W", "order of work over the reference", ("Shift+W",)),
        Key("next_region", "Shift+Page Down", "the next in the order of work", ("Shift+PgDown",)),
        Key("previous_region", "Shift+Page Up", "the one before", ("Shift+PgUp",)),
        Key("grid", "S", "squaring grid over all pictures", ("S",)),
        Key("plumb", "I", "plumb and level lines", ("I",)),
        Key("pin", "Shift+I", "pin those lines where the pointer is", ("Shift+I",)),
        Key("pin_warmth", "Shift+A", "pin a passage’s warmth at the pointer", ("Shift+A",)),
        Key("focus_at_pointer", "Ctrl+F", "focal point at the pointer", ("Ctrl+F",)),
        Key("mix_at_pointer", "Ctrl+M", "mix the passage at the pointer", ("Ctrl+M",)),
    ),
    CANVAS: (
        Key("add_photos", "O", "bring in canvas photos", ("O",)),
        Key("phone", "Ctrl+H", "photos from your phone", ("Ctrl+H",)),
        Key("live", "Ctrl+L", "look at the canvas live, by a camera", ("Ctrl+L",)),
        Key("bring_in_drawing", "Shift+O", "bring in a drawing, or a photo of one", ("Shift+O",)),
        Key("older", "Page Up", "the canvas photo before", ("PgUp",)),
        Key("newer", "Page Down", "the canvas photo after", ("PgDown",)),
        Key("corners", "P", "place the canvas's corners", ("P",)),
        Key("other_reference", "Shift+R", "paint from another photograph", ("Shift+R",)),
        Key("crop", "Shift+P", "crop the reference anew", ("Shift+P",)),
        Key("check", "K", "check against the reference", ("K",)),
        Key("hand", "Enter  Esc", "keep or leave a hand-placed landmark"),
        Key("next_mend", "N", "the next thing to mend", ("N",)),
        Key("previous_mend", "Shift+N", "the one before", ("Shift+N",)),
        Key("sheet", "Ctrl+P", "printed sheet of the check", (Standard.Print,)),
    ),
    TRACING: (
        Key("trace", "W", "trace lines over the reference", ("W",)),
        Key("trace_pen", "4", "pen", ("4",)),
        Key("trace_follow", "5", "follow an edge from press to press", ("5",)),
        Key("trace_straight", "6", "straight line", ("6",)),
        Key("trace_points", "7", "points of a line", ("7",)),
        Key("trace_eraser", "8", "eraser", ("8",)),
        Key("trace_landmark", "9", "landmark", ("9",)),
        Key("trace_suggest", "X", "suggest lines to take or leave out", ("X",)),
        Key("trace_snap", "Z", "snap to the edges of the reference", ("Z",)),
        Key("trace_kind", "Y", "contour, inner form or shadow edge", ("Y",)),
        Key("trace_fade", "H", "hold the reference back: fade it", ("H",)),
        Key("trace_move", "Space", "hold and drag: move the picture"),
        Key("trace_delete", "Delete", "take out the chosen point or line"),
    ),
    REST: (
        Key("question_drawing", "F2", "drawing panel", ("F2",)),
        Key("question_value", "F3", "value panel", ("F3",)),
        Key("question_edge", "F4", "edge panel", ("F4",)),
        Key("question_temperature", "F5", "temperature panel", ("F5",)),
        Key("question_mix", "F6", "mix panel", ("F6",)),
        Key("question_mend", "F7", "to-mend list", ("F7",)),
        Key("ledge", "F8", "ledge of canvas photos", ("F8",)),
        Key("sheets", "Shift+S", "transfer sheets: the drawing at true size on paper", ("Shift+S",)),
        Key("grey_pair", "Shift+G", "print the grey pair", ("Shift+G",)),
        Key("project", "J", "project the drawing onto the canvas", ("J",)),
        Key("unit", "U", "centimetres, or inches", ("U",)),
        Key("arms_length", "E", "large type, to read from the easel", ("E",)),
        Key("arms_view", "F9", "arm’s length: pictures and what to mend, full screen", ("F9",)),
        Key("question_sittings", "F10", "sittings panel", ("F10",)),
        Key("full_screen", "F11", "full screen", ("F11",)),
        Key("title", "T", "name the painting", ("T",)),
        Key("undo", "Ctrl+Z", "undo", (Standard.Undo,)),
        Key("redo", "Ctrl+Shift+Z", "redo", (Standard.Redo, "Ctrl+Y", "Ctrl+Shift+Z")),
        Key("new", "Ctrl+N", "new painting", (Standard.New,)),
        Key("open", "Ctrl+O", "open a painting", (Standard.Open,)),
        Key("save", "Ctrl+S", "all is saved as you go", (Standard.Save,)),
        Key("close", "Ctrl+W", "back to the paintings", (Standard.Close,)),
        Key("quit", "Ctrl+Q", "quit", (Standard.Quit, "Ctrl+Q")),
        Key("help", "Shift+F1", "what the open panel’s answers mean, and how sure they are", ("Shift+F1",)),
        Key("keys", "?", "this sheet", ("?", Standard.HelpContents)),
    ),
}
"""Plain first letters of the trade's words; the platform's own keys for undo, open, print, quit and help."""


def shortcuts(name: str) -> list[QKeySequence]:
    """The shortcuts of one action, without repeats."""
    found: list[QKeySequence] = []
    for each in all_keys():
        if each.name == name:
            for key in each.keys:
                sequences = QKeySequence.keyBindings(key) if isinstance(key, Standard) else [QKeySequence(key)]
                found += [s for s in sequences if s not in found]
    return found


def all_keys() -> tuple[Key, ...]:
    return tuple(key for group in KEYS.values() for key in group)


def shown_key(name: str) -> str:
    """The key of an action as it is written on a button; empty when it has none."""
    return next((key.show for key in all_keys() if key.name == name), "")
