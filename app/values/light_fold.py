"""The light on the canvas photo: how it was taken out, and greys of known value to take its level from."""

from app.printing.number_field import NumberField
from app.questions.fold import Fold
from app.questions.parts import Line, Lines, button, flow, text
from app.studio import Studio
from app.values.lighting import Lighting
from core.errors import PainterError

_HOW = (
    "A grey or white card of known value, on the canvas or beside it in the same light, or ground left bare, tells how "
    "much light there was. Give its Munsell value, then press on it in the photo."
)
_NO_CHECK = "A check takes the light out: by a photo of the blank canvas, a grey of known value, or by a fit."
_FIRST_VALUE = 8.0


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
        self.lines = Lines()
        self.lines.chosen.connect(self._choose)
        self.take_away = button("Take it away", self._remove)
        for part in (self.says, text(_HOW, role="note"), self.value):
            self.column.addWidget(part)
        self.column.addWidget(flow(self.card, self.ground))
        for each in (self.trouble, self.lines, self.take_away):
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
        greys = self._lighting.greys(None if photo is None else photo.id)
        self._chosen = min(self._chosen, max(len(greys) - 1, 0))
        self.lines.show_lines([Line(number, each.say) for number, each in enumerate(greys, start=1)])
        self.lines.mark(self._chosen if greys else None)
        self.take_away.setVisible(bool(greys))

    def restyle(self) -> None:
        """The size of the type has changed."""
        self.value.restyle()

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

    def _choose(self, index: int) -> None:
        self._chosen = index
        self.lines.mark(index)

    def _remove(self) -> None:
        if self._lighting is not None:
            self._lighting.remove(self._chosen)
