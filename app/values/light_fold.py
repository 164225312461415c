"""The light on the canvas photo: how it was taken out, and greys of known value to take its level from."""

from PySide6.QtWidgets import QLabel

from app.printing.number_field import NumberField
from app.questions.fold import Fold
from app.questions.parts import Line, Lines, button, flow, text
from app.studio import Studio
from app.values.light_charts import BalanceSwatch, ExposureBar, FieldPicture, LightChart
from app.values.light_found import LightFound
from app.values.lighting import Lighting
from core.errors import PainterError

_HOW = (
    "A grey or white card of known value, on the canvas or beside it in the same light, or ground left bare, tells how "
    "much light there was. Give its Munsell value, then press on it in the photo."
)
_CHART = "A colour chart of 24 patches that lies flat beside the canvas is found by itself: its values are known."
_NO_CHECK = "A check takes the light out: by a photo of the blank canvas, a grey or a chart of known value, or a fit."
_FIRST_VALUE = 8.0
_STOPS = "In stops: each is twice the light of the one before. At 0 white just fills the camera’s range."
_SWATCH = "Left: a light grey as it comes out in this photo. Right: the same grey in neutral light."


class LightFold(Fold):
    """Follows the studio's findings and what was pointed at."""

    def __init__(self, studio: Studio) -> None:
        super().__init__("Light", is_open=False)
        self._studio = studio
        self._lighting: Lighting | None = None
        self._chosen = 0
        self.says, self.trouble = text(), text(role="sentence")
        self.value = NumberField("Its value", "Munsell", f"{_FIRST_VALUE:g}")
        self.value.show_number(_FIRST_VALUE)
        self.card = button("Point at a card", lambda: self._begin("card"))
        self.ground = button("Point at bare ground", lambda: self._begin("ground"))
        self.chart = button("Look for a colour chart", self._look_for_chart)
        self.lines = Lines()
        self.lines.chosen.connect(self._choose)
        self.take_away = button("Take it away", self._remove)
        self.column.addWidget(self.says)
        self.exposure, self.balance, self.field = ExposureBar(), BalanceSwatch(), FieldPicture()
        self.shown = [
            self._add(self.exposure, _STOPS), self._add(self.balance, _SWATCH), self._add(self.field, ""),
        ]  # fmt: skip
        for part in (text(_HOW, role="note"), self.value):
            self.column.addWidget(part)
        self.column.addWidget(flow(self.card, self.ground))
        for each in (self.trouble, text(_CHART, role="note"), flow(self.chart), self.lines, self.take_away):
            self.column.addWidget(each)
        self.trouble.hide()
        self.heading.toggled.connect(self.refresh)

    def follow(self, lighting: Lighting) -> None:
        self._lighting = lighting
        lighting.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        if not self.is_open or self._lighting is None:
            return
        checked, photo = self._studio.checked, self._studio.canvas_photo
        told = () if checked is None else checked.findings.certainty
        self.says.setText(next((line for line in told if line.startswith("Light:")), _NO_CHECK))
        self._show_light(None if checked is None else checked.light)
        self.chart.setEnabled(not self._lighting.looking)
        greys = self._lighting.greys(None if photo is None else photo.id)
        self._chosen = min(self._chosen, max(len(greys) - 1, 0))
        self.lines.show_lines([Line(number, each.say) for number, each in enumerate(greys, start=1)])
        self.lines.mark(self._chosen if greys else None)
        self.take_away.setVisible(bool(greys))

    def restyle(self) -> None:
        """The size of the type has changed."""
        self.value.restyle()

    def _add(self, chart: LightChart, caption: str) -> tuple[QLabel, LightChart, QLabel]:
        """A picture of the light, the sentence it bears out over it and how to read it under it."""
        parts = text(), chart, text(caption, role="note")
        for part in parts:
            self.column.addWidget(part)
        return parts

    def _show_light(self, light: LightFound | None) -> None:
        for number, (says, chart, caption) in enumerate(self.shown):
            pictured = light is not None and not (chart is self.field and light.field is None)
            for part, visible in ((says, light is not None), (chart, pictured), (caption, pictured)):
                part.setVisible(visible)
            if light is not None:
                says.setText(light.words[number])
                chart.show_light(light, light.words[number])
        if light is not None:
            self.shown[-1][-1].setText(field_words(light))

    def _begin(self, kind: str) -> None:
        from core.value.light_card import reflectance_of

        try:
            value = self.value.number()
            reflectance_of(value)
        except PainterError as trouble:
            self.trouble.setText(str(trouble))
            self.trouble.show()
            return
        self.trouble.hide()
        if self._lighting is not None:
            self._lighting.begin(kind, value)

    def _look_for_chart(self) -> None:
        if self._lighting is not None:
            self._lighting.look_for_chart()

    def _choose(self, index: int) -> None:
        self._chosen = index
        self.lines.mark(index)

    def _remove(self) -> None:
        if self._lighting is not None:
            self._lighting.remove(self._chosen)


def field_words(light: LightFound) -> str:
    """How the picture of the field is read."""
    from core.value.light_pictures import CONTOUR_STEPS

    low, high = light.reach_steps
    if high - low < CONTOUR_STEPS:
        return "So even a light has no line: one would stand at each quarter of a Munsell step."
    return (
        "Lighter where there is more light. The figures: by how many Munsell steps a middle grey looks lighter (+) or "
        f"darker (−) there than on average, from −{abs(low):.1f} to +{abs(high):.1f}; a line at each quarter step."
    )
