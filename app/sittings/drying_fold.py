"""Drying: each layer's range, what a touch found, the room and the ground, and the soonest next sitting."""

from dataclasses import replace
from datetime import datetime

from PySide6.QtCore import QSignalBlocker, QSize
from PySide6.QtWidgets import QDoubleSpinBox, QPushButton, QWidget

from app import look
from app.ledge.sittings import day_words
from app.questions.parts import Line, Lines, button, flow, row, text
from app.sittings.drying_chart import Bar, DryingChart
from app.sittings.fields import offered
from app.sittings.fold import SittingFold
from app.sittings.forecast import Forecast, LayerDrying
from app.sittings.words import GROUNDS, first_up
from app.studio import Studio
from core.sitting.drying import HIGH, LIMIT, LOW
from core.sitting.drying_factors import TEMPERATURES
from core.sitting.layer import Ground
from core.sitting.next_sitting import NOT_CURED, standing
from core.sitting.touch_tests import Touch, TouchTest
from core.sitting.varnish import FINAL, SOURCES, TOUCH_DRY
from core.sitting.varnish import LIMIT as VARNISH_LIMIT
from core.words import as_share

_NONE = "No layer has been painted yet. Start the timer of a sitting, or note under “This sitting” when it was."
_OF_VARNISH = (TOUCH_DRY, FINAL, VARNISH_LIMIT)
_TOUCH_PX, _SURE = 64, 0.99


class _Large(QPushButton):
    """Hit with a thumb that is not clean."""

    def sizeHint(self) -> QSize:
        return QSize(super().sizeHint().width(), round(look.px(_TOUCH_PX)))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()


class DryingFold(SittingFold):
    """``chosen``: key of the layer that is touched, or None for the last one."""

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio, "Drying", is_open=False)
        self.chosen: int | None = None
        self._shown: object = None
        self._keys: list[int] = []
        self.says, self.chart, self.lines = text(_NONE), DryingChart(), Lines()
        self.lines.chosen.connect(self._choose)
        self.dayless = text("", "note")
        self.which = text()
        self.touches = {each: self._touch_button(each) for each in Touch}
        self.found, self.take_back = text("", "note"), button("Take the last test back", self._take_back)
        self.painter, self.odd = text(), text()
        self.next, self.varnish, self.limits = text(), text(), text("", "note")
        self.varnish_limits = text("", "note")
        self.warmth = self._field("Temperature of the room", " °C", TEMPERATURES)
        self.damp = self._field("Humidity of the room", " %", (0.0, 100.0))
        self.ground = offered("Ground", GROUNDS, self._lay_ground)
        self._layered: tuple[QWidget, ...] = (
            self.chart, self.lines, self.which, self.found, self.painter, text("Next sitting", "subheading"), self.next,
            text("Varnish", "subheading"), self.varnish, self.varnish_limits,
        )  # fmt: skip
        above: tuple[QWidget, ...] = (self.says, self.chart, self.lines, self.dayless, self.which)
        rest = self._layered[5:]
        for part in above:
            self.column.addWidget(part)
        self.column.addLayout(row(*self.touches.values()))
        for part in (
            self.found, flow(self.take_back), self.odd, self.painter,
            text("The room it dries in, and the ground", "note"), flow(self.warmth, self.damp), self.ground,
            *rest, self.limits,
        ):  # fmt: skip
            self.column.addWidget(part)

    def show_now(self) -> None:
        reads, now = self.reads, self.reads.now()
        forecast = reads.forecast()
        self._keys = [each.key for each in forecast.layers]
        layer = forecast.of(self.chosen) or (forecast.layers[-1] if forecast.layers else None)
        for part in (*self._layered, *self.touches.values()):
            part.setVisible(layer is not None)
        self.says.setVisible(layer is None)
        self.dayless.setVisible(bool(forecast.dayless))
        self.dayless.setText(f"Without a day, so without a forecast: {', '.join(forecast.dayless)}.")
        self._show_room()
        self._show_touched(layer)
        told = [f"{each.name}: {each.standing(now).state}" for each in forecast.layers]
        bars = [_bar(each) for each in forecast.layers]
        self.chart.show_bars(bars, now, "; ".join(told))
        lines = [
            (f"{first_up(told[at])}{_how_likely(each, now)}", each.dry.say()) for at, each in enumerate(forecast.layers)
        ]
        if lines != self._shown:
            self._shown = lines
            self.lines.show_lines([Line(at, *each) for at, each in enumerate(lines, start=1)])
        self.lines.mark(self._keys.index(layer.key) if layer is not None else None)
        self.painter.setText(forecast.painter.say())
        self._show_outlook(forecast)

    def _show_touched(self, layer: LayerDrying | None) -> None:
        free = not self.reads.read_only
        tests = () if layer is None else self.reads.kept.drying.of(str(layer.key))
        self.take_back.setVisible(bool(tests))
        self.take_back.setEnabled(free)
        self.odd.setVisible(layer is not None and bool(layer.told))
        for each in self.touches.values():
            each.setEnabled(free)
        if layer is None:
            return
        self.odd.setText(" ".join(layer.told))
        self.which.setText(f"{layer.name}: touch it now, and press what your finger finds.")
        today = self.reads.now().date()
        found = ", ".join(f"{each.found} {day_words(each.at.date(), today)} {each.at:%H:%M}" for each in tests)
        self.found.setText(f"Found so far: {found}." if tests else "It has not been touched yet.")

    def _show_room(self) -> None:
        drying, free = self.reads.kept.drying, not self.reads.read_only
        for field, value in ((self.warmth, drying.room.temperature_c), (self.damp, drying.room.humidity)):
            with QSignalBlocker(field):
                field.setValue(value)
            field.setEnabled(free)
        self.ground.show_value(drying.ground)
        self.ground.setEnabled(free)

    def _show_outlook(self, forecast: Forecast) -> None:
        after, varnish = forecast.next_sitting, forecast.varnish
        now = self.reads.now()
        over = [each.drying for each in forecast.over]
        self.next.setText("" if after is None else "\n\n".join((standing(over, now).say(), *after.told[:-1])))
        told = () if varnish is None else varnish.told
        self.varnish.setText(" ".join(each for each in told if each not in _OF_VARNISH))
        self.varnish_limits.setText(" ".join((*(each for each in told if each in _OF_VARNISH), SOURCES)))
        limits = dict.fromkeys([LIMIT, *(each for layer in forecast.layers for each in layer.limits), NOT_CURED])
        self.limits.setText(" ".join(limits))

    def _choose(self, index: int) -> None:
        self.chosen = self._keys[index]
        self.refresh()

    def _layer(self) -> LayerDrying | None:
        forecast = self.reads.forecast()
        return forecast.of(self.chosen) or (forecast.layers[-1] if forecast.layers else None)

    def _touch(self, found: Touch) -> None:
        layer, reads = self._layer(), self.reads
        if layer is not None:
            test = TouchTest(reads.now().replace(microsecond=0), found)
            reads.keep_drying(reads.kept.drying.with_test(str(layer.key), test), f"found a layer {found}")

    def _take_back(self) -> None:
        layer, reads = self._layer(), self.reads
        tests = () if layer is None else reads.kept.drying.of(str(layer.key))
        if layer is not None and tests:
            reads.keep_drying(reads.kept.drying.without_test(str(layer.key), tests[-1]), "took a touch test back")

    def _set_room(self, **changes: float) -> None:
        drying = self.reads.kept.drying
        self.reads.keep_drying(replace(drying, room=replace(drying.room, **changes)), "changed the room")

    def _lay_ground(self, ground: Ground | None) -> None:
        self.reads.keep_drying(replace(self.reads.kept.drying, ground=ground), "changed the ground")

    def _touch_button(self, found: Touch) -> QPushButton:
        made = _Large(str(found).capitalize())
        made.clicked.connect(lambda _=False: self._touch(found))
        made.setAccessibleName(f"It is {found}")
        return made

    def _field(self, name: str, unit: str, within: tuple[float, float]) -> QDoubleSpinBox:
        made = QDoubleSpinBox()
        made.setDecimals(0)
        made.setRange(*within)
        made.setSuffix(unit)
        made.setKeyboardTracking(False)
        made.setAccessibleName(name)
        changes = "temperature_c" if "°" in unit else "humidity"
        made.valueChanged.connect(lambda value: self._set_room(**{changes: value}))
        return made


def _how_likely(layer: LayerDrying, now: datetime) -> str:
    """Such as `` (70 %)``; nothing where a touch has found it dry."""
    if layer.dry.found:
        return ", found by touch"
    share = layer.standing(now).share
    return " (over 99 %)" if share > _SURE else " (under 1 %)" if share < 1 - _SURE else f" ({as_share(share)})"


def _bar(layer: LayerDrying) -> Bar:
    drying = layer.drying
    return Bar(layer.name, layer.finished, drying.at(LOW), drying.at(0.5), drying.at(HIGH))
