"""The reach of paint, what of the reference lies beyond it, and the keying; the underpainting in an earth."""

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QButtonGroup, QComboBox, QRadioButton

from app.actions import KeyButton
from app.printing.number_field import NumberField
from app.questions.fold import Fold
from app.questions.parts import button, flow, text
from app.studio import Studio
from app.values.jobs import BeyondReach
from app.values.looks import reach_of
from app.values.settings import KEYINGS, PaintReach, Values
from app.view import Look, View
from core.errors import PainterError
from core.words import as_share

_SOURCE = (
    "Oil paint: the lightest white and the darkest masstones of the drawdowns in Geldof and others 2018 "
    "(Heritage Science 6:17), good to ± 0.3. Gloss and varnish reach lower."
)
_EARTHS = (
    "Tints from the earth’s reflectance as dry powder (USGS Spectral Library 7, 2017) and zinc white in oil. In oil it "
    "is darker and warmer: the kind of hue, not your tube’s. Values are kept."
)


class ReachFold(Fold):
    """Follows the studio."""

    measure_wanted = Signal()
    refused = Signal(str)

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        values = studio.view.values
        super().__init__("Reach and keying", is_open=values.is_keyed or values.beyond)
        self._studio, self._was_on = studio, self.is_open
        self.darkest = NumberField("Darkest of the paint", "Munsell", "1.6")
        self.lightest = NumberField("Lightest of the paint", "Munsell", "9.5")
        for field in (self.darkest, self.lightest):
            field.field.editingFinished.connect(self._typed)
        self.measure = button("Measure on the canvas", self.measure_wanted.emit)
        self.usual = button("As oil paint", lambda: self._set(replace(self._studio.view.values, reach=None)))
        self.source, self.says, self.key = text(role="note"), text(), text(role="note")
        self.keyings = {name: QRadioButton(name.capitalize()) for name in KEYINGS}
        group = QButtonGroup(self)
        for name, radio in self.keyings.items():
            group.addButton(radio)
            radio.clicked.connect(lambda _=False, name=name: self._set(replace(self._studio.view.values, keying=name)))
        self.keyed = text(role="note")
        for part in (self.darkest, self.lightest, flow(self.measure, self.usual), self.source, self.says):
            self.column.addWidget(part)
        self.column.addWidget(flow(KeyButton.of(actions["beyond_reach"], "Hatch what is beyond")))
        self.column.addWidget(self.key)
        self.column.addWidget(flow(KeyButton.of(actions["keying"], "The next way to key")))
        for radio in self.keyings.values():
            self.column.addWidget(radio)
        self.column.addWidget(self.keyed)
        self.heading.toggled.connect(self.refresh)

    def refresh(self) -> None:
        values = self._studio.view.values
        is_on = values.is_keyed or values.beyond
        if is_on and not self._was_on:
            self.open()
        self._was_on = is_on
        if not (self.isVisible() and self.is_open):
            return
        reach = reach_of(values)
        for field, number in ((self.darkest, reach.darkest), (self.lightest, reach.lightest)):
            if not field.field.hasFocus():
                field.show_number(round(number, 1))
        self.usual.setEnabled(values.reach is not None)
        checked = self._studio.checked
        self.measure.setEnabled(checked is not None and "value_canvas" in checked.maps)
        self.measure.setToolTip("" if self.measure.isEnabled() else "A check of the canvas photo comes first.")
        self.source.setText(_source(values))
        beyond = self._studio.values.beyond()
        self.says.setText("Being measured…" if beyond is None else beyond_words(beyond))
        self.key.setText("Light lines rise over what is too dark, dark lines fall over what is too light.")
        self.key.setVisible(values.beyond)
        with QSignalBlocker(self.keyings[values.keying]):
            self.keyings[values.keying].setChecked(True)
        self._say_keyed(values)

    def take(self, reach: PaintReach) -> None:
        """A reach that was measured."""
        self._set(replace(self._studio.view.values, reach=reach))

    def _say_keyed(self, values: Values) -> None:
        tones = self._studio.values.tones() if values.is_keyed else None
        curve = tones.curve if tones is not None else None
        if not values.is_keyed:
            self.keyed.setText("Keyed, the reference is brought within the reach and hangs so in every look.")
        elif curve is None:
            self.keyed.setText("Being keyed…")
        else:
            self.keyed.setText(
                f"Differences stay as they are over {as_share(curve.kept)} of the reference; elsewhere at least "
                f"{as_share(curve.least_slope)} of each is left. The next check compares with it."
            )

    def _typed(self) -> None:
        from core.errors import ValuesError
        from core.value.reach import Reach

        before = reach_of(self._studio.view.values)
        try:
            darkest, lightest = self.darkest.number(), self.lightest.number()
            Reach(darkest, lightest)
        except (PainterError, ValuesError) as trouble:
            self.refused.emit(str(trouble))
            for field, number in ((self.darkest, before.darkest), (self.lightest, before.lightest)):
                field.show_number(round(number, 1))
            return
        if (darkest, lightest) != (round(before.darkest, 1), round(before.lightest, 1)):
            self._set(replace(self._studio.view.values, reach=PaintReach(darkest, lightest)))

    def _set(self, values: Values) -> None:
        self._studio.change_view(replace(self._studio.view, values=values))
        self.refresh()


class UnderpaintingFold(Fold):
    """Which earth the reference is shown in."""

    def __init__(self, studio: Studio, actions: dict[str, QAction]) -> None:
        super().__init__("Underpainting", is_open=_hangs(studio.view))
        self._studio, self._was_on = studio, self.is_open
        self.earth = QComboBox()
        self.earth.setAccessibleName("Earth of the underpainting")
        self.earth.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.earth.setMinimumContentsLength(14)
        self.earth.activated.connect(self._choose)
        self.says = text(_EARTHS, "note")
        self.column.addWidget(flow(KeyButton.of(actions["underpainting"], "Underpainting")))
        self.column.addWidget(self.earth)
        self.column.addWidget(self.says)
        self.heading.toggled.connect(self.refresh)

    def refresh(self) -> None:
        is_on = _hangs(self._studio.view)
        if is_on and not self._was_on:
            self.open()
        self._was_on = is_on
        if not (self.isVisible() and self.is_open):
            return
        if not self.earth.count():
            from core.value.underpainting import earths

            for each in earths():
                self.earth.addItem(f"{each.name.capitalize()} ({each.pigment})", each.name)
        self.earth.setCurrentIndex(max(self.earth.findData(self._studio.view.values.earth), 0))

    def _choose(self, index: int) -> None:
        view = self._studio.view
        view = replace(view, values=replace(view.values, earth=str(self.earth.itemData(index))))
        self._studio.change_view(view if _hangs(view) else view.toggle_look(Look.UNDERPAINTING))


def beyond_words(found: BeyondReach) -> str:
    """What of the reference the paint cannot show."""
    parts = [
        f"{_share(share)} is darker than the paint can be, by up to {steps:.1f} steps"
        if which == "dark"
        else f"{_share(share)} is lighter, by up to {steps:.1f} steps"
        for which, share, steps in (
            ("dark", found.dark_share, found.dark_steps),
            ("light", found.light_share, found.light_steps),
        )
        if share > 0.0
    ]
    if not parts:
        return "All of the reference is within the reach."
    if found.dark_share == 0.0:
        parts = [parts[0].replace("is lighter,", "is lighter than the paint can be,")]
    return f"Of the reference {'; '.join(parts)}."


def _share(share: float) -> str:
    return "under 0.1 %" if share < 0.001 else as_share(share, places=1)


def _source(values: Values) -> str:
    reach = values.reach
    if reach is None:
        return _SOURCE
    if reach.from_canvas:
        sure = f", good to ± {reach.uncertainty:.1f}" if reach.uncertainty > 0.0 else ""
        return (
            f"Measured on the canvas photo{sure}. A painting that is not far enough along has less reach than its "
            "paint."
        )
    return "Your own figures."


def _hangs(view: View) -> bool:
    return any(each.look is Look.UNDERPAINTING for each in view.hung)
