"""What the photos on the ledge are good for: rated one at a time in the background, and marked on their cards."""

from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from app.checks import CHECK
from app.kept_reads import KeptReads
from app.ledge.card import Card
from app.studio import Studio
from app.work import Progress
from core.errors import PainterError
from core.painting import CanvasPhotoRecord, Corners
from core.size import Size

if TYPE_CHECKING:
    from collections.abc import Callable

    from core.photo_rating import PhotoRating

CHANNEL = "rating"


@dataclass(frozen=True)
class Order:
    """Everything that a rating is made from. ``inputs``: what tells whether it still holds."""

    canvas_photo: int
    inputs: str
    file: Path
    corners: Corners | None
    lens_k1: float
    is_blank: bool
    size: Size
    reference: Path | None = None
    crop: Corners | None = None


class Rating(QObject):
    """Follows the ledge: photos not rated yet, or whose corners, lens or reference have changed, are rated quietly.

    ``said``: one sentence of advice when new photos have come in and the worst of their faults is a real one.
    ``rated``: a canvas photo.
    """

    said = Signal(str)
    rated = Signal(int)

    def __init__(self, studio: Studio, cards: "Callable[[], tuple[Card, ...]]", parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._studio, self._cards = studio, cards
        self._resting = True
        # What else begins for a new photo, above all its check, goes first.
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self._rate_next)
        self._known: set[int] = set()
        self._new: list[int] = []
        self._held: dict[int, tuple[str, PhotoRating | None]] = {}  # by canvas photo: inputs, and what came of them

    def begin(self) -> None:
        """From now on; until then nothing is rated and no card marked."""
        self._resting = False
        self._known = {photo.id for photo in self._studio.canvas_photos}
        self._studio.ledge_changed.connect(self.refresh)
        self._studio.worker.idle.connect(self._after)
        self._studio.worker.run(CHANNEL, _ready, lambda _: self.refresh())

    def of(self, canvas_photo: int) -> "PhotoRating | None":
        """The last rating of a canvas photo, as long as no other is there."""
        return self._held.get(canvas_photo, ("", None))[1]

    def refresh(self) -> None:
        """Rate what has to be rated, and mark the cards."""
        for photo in self._studio.canvas_photos:
            if photo.id not in self._known:
                self._known.add(photo.id)
                self._new.append(photo.id)
        self._soon.start()
        self.mark()

    def _after(self, channel: str) -> None:
        if channel == CHECK:
            self._rate_next()

    def rest(self) -> None:
        """The painting is about to be closed: nothing more is begun."""
        self._resting = True
        self._soon.stop()

    def mark(self) -> None:
        """Show on every card what is known of its photo."""
        for card in self._cards():
            rating = self.of(card.photo.id)
            if rating is not None:
                card.show_rating(tuple(fault.word for fault in rating.faults), rating.advice)

    def _rate_next(self) -> None:
        worker = self._studio.worker
        if self._resting or worker.is_busy(CHANNEL) or worker.is_busy(CHECK):
            return  # a check is waited for by the painter, and has both processors
        order = next(filter(None, map(self._order, self._studio.canvas_photos)), None)
        if order is None:
            self._speak()
        else:
            failed = partial(self._keep, order, None)
            work = partial(rate, order, self._studio.checker.kept)
            worker.run(CHANNEL, work, partial(self._keep, order), lambda _: failed(), self._rate_next)

    def _order(self, photo: CanvasPhotoRecord) -> Order | None:
        """What to rate; None when that is done."""
        painting = self._studio.painting
        if photo.photo.state == "missing":
            return None
        inputs = painting.rating_inputs(photo.id)
        if self._held.get(photo.id, ("", None))[0] == inputs or self._was_kept(photo.id, inputs):
            return None
        try:
            file = painting.photo_file(photo.photo.id)
        except PainterError:
            return None
        order = Order(photo.id, inputs, file, photo.corners, photo.lens_k1, photo.is_blank, painting.size)
        reference = painting.reference
        if photo.corners is None or reference is None or reference.photo.state == "missing":
            return order
        wanted = painting.photo_file(reference.photo.id)
        return Order(**{**order.__dict__, "reference": wanted, "crop": reference.crop})

    def _was_kept(self, canvas_photo: int, inputs: str) -> bool:
        """Take over a rating that the painting has, when it still holds."""
        from core.photo_rating import VERSION, rating_from_text

        kept = self._studio.painting.photo_rating(canvas_photo, version=VERSION)
        rating = None if kept is None or not kept.is_current else rating_from_text(kept.rating)
        if rating is None:
            return False
        self._held[canvas_photo] = (inputs, rating)
        return True

    def _keep(self, order: Order, rating: "PhotoRating | None") -> None:
        """What cannot be rated is not tried again until something has changed."""
        before = self.of(order.canvas_photo)
        self._held[order.canvas_photo] = (order.inputs, rating or before)
        if rating is None:
            return
        try:
            if not self._studio.painting.read_only:
                self._studio.painting.set_photo_rating(
                    order.canvas_photo, rating.text(), inputs=order.inputs, version=rating.version
                )
        except PainterError:  # it is rated again at the next opening
            pass
        self.mark()
        self.rated.emit(order.canvas_photo)

    def _speak(self) -> None:
        """All new photos are rated: one sentence for the worst of them, and how many more."""
        names = {photo.id: photo.name for photo in self._studio.canvas_photos}
        told = [(names[each], self.of(each)) for each in self._new if each in names]
        self._new.clear()
        bad = [(name, rating) for name, rating in told if rating is not None and rating.told_at_once]
        if not bad:
            return
        name, worst = max(bad, key=lambda pair: pair[1].faults[0].weight)
        more = "" if len(bad) == 1 else f" {len(bad) - 1} more of the new photos: see the marks on the ledge."
        self.said.emit(f"“{name}”: {worst.told_at_once}{more}")


def _ready(progress: Progress) -> None:
    """Load in the worker what rates and checks new photos, so that neither the opening nor the first of them waits."""
    import core.canvas.foretold
    import core.check_files
    import core.photo_rating  # noqa: F401


def rate(order: Order, kept: KeptReads, progress: Progress) -> "PhotoRating":
    """Raises PainterError when a photograph cannot be read."""
    from core.photo_rating import Wanted, rate_photo

    progress(say="Looking at the photo’s sharpness and light")
    wanted = None
    if order.reference is not None and not order.is_blank:
        wanted = Wanted(kept.references.photo(order.reference), order.crop)
        progress()
    photo = kept.photos.photo(order.file)
    progress()
    return rate_photo(
        photo,
        corners_px=order.corners,
        size=order.size,
        k1=order.lens_k1,
        reference=wanted,
        is_blank=order.is_blank,
    )
