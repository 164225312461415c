"""The painter's own tubes: a card to paint, a photo of it, and the tube as the squares show it."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QComboBox, QDoubleSpinBox, QLineEdit, QWidget

from app.mixing.fold import MixFold
from app.mixing.own_jobs import CardOrder, CardRead
from app.mixing.swatch_pair import Patch, SwatchPair
from app.questions.paper import PaperBox
from app.questions.parts import Line, Lines, button, flow, text
from app.studio import Studio
from core.errors import PainterError

MOST_NAME = 40
_HOW = (
    "No two makers’ tubes are alike. Print a card, paint your tube on it alone and in two tints, and photograph it: "
    "mixes then go by your own tube."
)
_WEIGHED = "What was weighed, tube and white, in any unit:"
_GREY = "A grey card on it reflects, % (0: there is none):"
_TINTS = {"strong tint": (1.0, 3.0), "weak tint": (1.0, 9.0)}
"""What the card asks for."""


class OwnFold(MixFold):
    """``card_wanted``: names of tube and white. ``photo_wanted``: a photo of the painted card is to be read; ``order``
    says of what. ``refused``: why something cannot be, in a sentence."""

    card_wanted = Signal(str, str)
    photo_wanted = Signal()
    refused = Signal(str)

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio, "Tubes of your own", is_open=False)
        self._read: CardRead | None = None
        self._shown: object = None
        self.tube, self.white = _choice("Tube on the card"), _choice("White on the card")
        for choice in (self.tube, self.white):
            choice.activated.connect(lambda _: self.show_read(None))  # what was read is of another tube
        self.paper = PaperBox()
        self.paper.chosen.connect(lambda name: self.set_view(paper=name))
        self.card = button("Print a card…", lambda: self.card_wanted.emit(*self._names()))
        self.photo = button("Photo of the painted card…", self.photo_wanted.emit, "primary")
        self.weighed = {name: tuple(_number(part, name) for part in parts) for name, parts in _TINTS.items()}
        self.grey = _number(0.0, "Grey card, per cent", most=100.0, decimals=0)
        self.says, self.squares = text(), SwatchPair()
        self.name = QLineEdit()
        self.name.setMaxLength(MOST_NAME)
        self.name.setAccessibleName("Name of the tube")
        self.keep = button("Keep it as my tube", self._keep, "primary")
        self.own, self.remove = Lines(), button("Take it away", self._remove)
        self._chosen: str | None = None
        self.own.chosen.connect(self._choose)
        self._result: tuple[QWidget, ...] = (self.squares, text("Its name in the box", "note"), self.name, self.keep)
        tints = [part for name, pair in self.weighed.items() for part in (text(name.capitalize(), "note"), flow(*pair))]
        for part in (
            text(_HOW), text("Tube", "note"), self.tube, text("White it is mixed with", "note"), self.white, self.paper,
            flow(self.card), text(_WEIGHED, "note"), *tints, text(_GREY, "note"), flow(self.grey), flow(self.photo),
            self.says, *self._result, self.own, flow(self.remove),
        ):  # fmt: skip
            self.column.addWidget(part)

    def order(self, file: object) -> CardOrder:
        """What is on the card of this photo. Raises PainterError for weights that cannot be."""
        from core.paint.swatch_refine import share_of

        held = self.reads.box.held.tubes
        tube, white = self._names()
        weighed = {name: share_of(*(part.value() for part in pair)) for name, pair in self.weighed.items()}
        grey = self.grey.value() / 100 or None
        return CardOrder(file, held[tube], held[white], weighed, grey)  # type: ignore[arg-type]

    def show_read(self, read: CardRead | None) -> None:
        """What came of a photo."""
        self._read = read
        if read is not None and read.refined is not None:
            self.name.setText(read.refined.tube.name)
        self.refresh()

    def show_now(self) -> None:
        box = self.reads.box
        if self._shown != box.edition:
            self._shown = box.edition
            tubes = box.held.tubes
            _fill(self.tube, [name for name, tube in tubes.items() if not tube.white])
            _fill(self.white, [name for name, tube in tubes.items() if tube.white])
            self.own.show_lines([Line(n + 1, tube.name, tube.basis) for n, tube in enumerate(box.held.own)])
        self.paper.show_paper(self.settings.paper)
        names = [tube.name for tube in box.held.own]
        self._chosen = self._chosen if self._chosen in names else None
        self.own.mark(names.index(self._chosen) if self._chosen in names else None)
        self.remove.setVisible(self._chosen is not None)
        read = self._read
        refined = None if read is None else read.refined
        for part in self._result:
            part.setVisible(refined is not None)
        self.says.setVisible(read is not None)
        self.says.setText("" if read is None else said(read))
        if read is not None and refined is not None:
            patches = [
                patch for each in read.squares for patch in (Patch("read", each.seen), Patch("yours", each.given))
            ]
            self.squares.show_patches(patches)

    def _names(self) -> tuple[str, str]:
        return self.tube.currentText(), self.white.currentText()

    def _keep(self) -> None:
        box, refined = self.reads.box, None if self._read is None else self._read.refined
        if refined is None:
            return
        name = " ".join(self.name.text().split())
        if not name:
            self.refused.emit("A tube needs a name. Give it one.")
            return
        taken = name.casefold() in (each.casefold() for each in box.held.tubes)
        if taken and name.casefold() != refined.tube.name.casefold():
            self.refused.emit(f"There is a tube “{name}” already. Give yours another name.")
            return
        try:
            kept = box.keep(box.held.with_tube(replace(refined.tube, name=name)))
        except PainterError as trouble:
            self.refused.emit(str(trouble))
            return
        if kept:
            self.show_read(None)

    def _choose(self, index: int) -> None:
        name = self.reads.box.held.own[index].name
        self._chosen = None if name == self._chosen else name
        self.refresh()

    def _remove(self) -> None:
        box = self.reads.box
        try:
            if self._chosen is not None:
                box.keep(box.held.without_tube(self._chosen))
        except PainterError as trouble:
            self.refused.emit(str(trouble))
        self.refresh()


def said(read: CardRead) -> str:
    """What came of the card, in sentences."""
    if read.refined is None:
        return "This photo is not good enough.\n\n" + "\n\n".join(read.problems)
    refined = read.refined
    before, after = (max(each.values(), default=0.0) for each in (refined.before, refined.after))
    told = [
        f"The squares lay up to CIEDE2000 {before:.1f} from the stored tube, and {after:.1f} from yours.",
        f"Mixes of it with white are expected within about {refined.uncertainty:.1f}.",
    ]
    return " ".join(told + list(refined.notes))


def _choice(name: str) -> QComboBox:
    made = QComboBox()
    made.setAccessibleName(name)
    made.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    made.setMinimumContentsLength(14)
    return made


def _fill(box: QComboBox, names: list[str]) -> None:
    before = box.currentText()
    with QSignalBlocker(box):
        box.clear()
        box.addItems(names)
        box.setCurrentIndex(max(names.index(before) if before in names else 0, 0))


def _number(value: float, name: str, *, most: float = 999.0, decimals: int = 1) -> QDoubleSpinBox:
    made = QDoubleSpinBox()
    made.setRange(0.0, most)
    made.setDecimals(decimals)
    made.setValue(value)
    made.setAccessibleName(name.capitalize())
    return made
