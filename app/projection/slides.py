"""The reference made ready to be thrown, in colour, in grey, or one value step of it as light."""

from collections import OrderedDict
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QImage

from app.hangings import print_key
from app.picture import srgb_of_qimage
from app.prints import Print, PrintKey
from app.projection.state import Mode
from app.studio import Studio
from app.view import Hung, Look, Subject
from app.work import Progress

if TYPE_CHECKING:
    from core.drawing.projection_light import Slide

CHANNEL = "projection slide"
_LOOKS = {Mode.COLOUR: Look.COLOUR, Mode.GREY: Look.GREY, Mode.STEP: Look.STEPS}
_KEPT = 4


class Slides(QObject):
    """Ask with ``slide``: it gives what is there, and says ``ready`` when a better one has been made."""

    ready = Signal()

    def __init__(self, studio: Studio, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._made: OrderedDict[Any, tuple[Print, Slide]] = OrderedDict()
        self._wanted: Any = None
        self.problem = ""

    def slide(self, mode: Mode, step: int) -> "Slide | None":
        key = self._key(mode, step)
        made = None if key is None else self._studio.room.print(key)
        held = self._made.get(key)
        if made is not None and (held is None or held[0] is not made):
            self._make(key, made, mode, step)
            held = self._made.get(key)  # a worker that does all at once has made it by now
        return None if held is None else held[1]

    def _key(self, mode: Mode, step: int) -> PrintKey | None:
        """The whole reference as the wall shows it; one value step alone, merged under the wall's squint and plan."""
        material = self._studio.material()
        view = material.view
        if mode is Mode.STEP:
            view = replace(view, values=replace(view.values, alone=min(step, view.steps - 1)))
        else:
            view = replace(view, squint=False, values=replace(view.values, beyond=False))
        key = print_key(replace(material, view=view), Hung(Subject.REFERENCE, _LOOKS[mode]))
        return None if mode is Mode.STEP and key is not None and key.plan is None else key

    def _make(self, key: Any, made: Print, mode: Mode, step: int) -> None:
        wanted = (key, id(made))
        if wanted == self._wanted:
            return
        self._wanted, self.problem = wanted, ""
        code = None if mode is not Mode.STEP else made.greys[min(step, len(made.greys) - 1)]
        image = made.picture.image

        def work(progress: Progress) -> "Slide":
            progress(say="Making the picture")
            return made_slide(image, code)

        self._studio.worker.run(
            CHANNEL, work, lambda slide: self._keep(key, made, slide), self._fail, lambda: self._end(wanted)
        )

    def _keep(self, key: Any, made: Print, slide: "Slide") -> None:
        self._made[key] = (made, slide)
        self._made.move_to_end(key)
        while len(self._made) > _KEPT:
            self._made.popitem(last=False)
        self.ready.emit()

    def _fail(self, sentence: str) -> None:
        self.problem = sentence
        self.ready.emit()

    def _end(self, wanted: Any) -> None:
        if self._wanted == wanted and not self.problem:
            self._wanted = None


def made_slide(image: QImage, code: int | None) -> "Slide":
    """Of a print; with the ``code`` of one value step, that step's areas as light and all else dark."""
    from core.drawing.projection_light import Slide

    codes = srgb_of_qimage(image)
    if code is not None:
        return Slide.of(np.where(codes[..., 1] == code, 255, 0).astype(np.uint8))
    return Slide.of(codes)
