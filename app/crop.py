"""The frame that crops a reference to the canvas's shape: numbers only, in photo pixels."""

from dataclasses import dataclass, replace

SMALLEST_SHARE = 0.1
"""The frame is never less than a tenth of the largest that fits."""

Corners = tuple[tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]]


@dataclass(frozen=True)
class Crop:
    """A frame of fixed aspect within a photo; ``left, top, width`` count from the photo's outer edge."""

    photo_width: int
    photo_height: int
    aspect: float
    left: float
    top: float
    width: float

    @classmethod
    def largest(cls, photo_width: int, photo_height: int, aspect: float) -> "Crop":
        """The largest frame of this aspect (width / height), in the middle."""
        width = min(float(photo_width), photo_height * aspect)
        return cls(
            photo_width, photo_height, aspect, (photo_width - width) / 2, (photo_height - width / aspect) / 2, width
        )

    @classmethod
    def framing(
        cls, corners: tuple[tuple[float, float], ...], photo_width: int, photo_height: int, aspect: float
    ) -> "Crop":
        """The frame of this aspect that ``corners`` (as in :attr:`corners`) were taken from, or close to it."""
        left, right = min(x for x, _ in corners), max(x for x, _ in corners)
        top, bottom = min(y for _, y in corners), max(y for _, y in corners)
        crop = cls(photo_width, photo_height, aspect, left + 0.5, top + 0.5, right - left)
        middle = (top + bottom) / 2 + 0.5
        width = min(max(crop.width, SMALLEST_SHARE * crop.widest), crop.widest)
        return replace(crop, width=width, top=middle - width / aspect / 2)._inside()

    @property
    def height(self) -> float:
        return self.width / self.aspect

    @property
    def widest(self) -> float:
        return min(float(self.photo_width), self.photo_height * self.aspect)

    @property
    def corners(self) -> Corners:
        """Top left, top right, bottom right, bottom left, with pixel centres at whole numbers."""
        left, top = self.left - 0.5, self.top - 0.5
        right, bottom = left + self.width, top + self.height
        return ((left, top), (right, top), (right, bottom), (left, bottom))

    def moved(self, dx: float, dy: float) -> "Crop":
        return replace(self, left=self.left + dx, top=self.top + dy)._inside()

    def scaled(self, factor: float) -> "Crop":
        """Larger or smaller about its centre, as far as the photo goes."""
        return self._sized(self.width * factor, 0.5, 0.5)

    def corner_moved(self, corner: int, x: float, y: float) -> "Crop":
        """One corner (0-3, from top left, clockwise) dragged to a point; the opposite corner stays."""
        keep_x = self.left + (self.width if corner in (0, 3) else 0.0)
        keep_y = self.top + (self.height if corner in (0, 1) else 0.0)
        room_x = keep_x if corner in (0, 3) else self.photo_width - keep_x
        room_y = keep_y if corner in (0, 1) else self.photo_height - keep_y
        asked = max(abs(x - keep_x), abs(y - keep_y) * self.aspect)
        width = min(asked, room_x, room_y * self.aspect)
        width = max(width, SMALLEST_SHARE * self.widest)
        left = keep_x - width if corner in (0, 3) else keep_x
        top = keep_y - width / self.aspect if corner in (0, 1) else keep_y
        return replace(self, left=left, top=top, width=width)._inside()

    def with_aspect(self, aspect: float) -> "Crop":
        """The same middle and about the same area for another shape of canvas."""
        centre = self.left + self.width / 2, self.top + self.height / 2
        whole = abs(self.width - self.widest) < 1.0
        fresh = replace(self, aspect=aspect)
        width = fresh.widest if whole else min((self.width * self.height * aspect) ** 0.5, fresh.widest)
        return replace(fresh, left=centre[0] - width / 2, top=centre[1] - width / aspect / 2, width=width)._inside()

    def px_per_mm(self, width_mm: float) -> float:
        return self.width / width_mm

    def _sized(self, width: float, at_x: float, at_y: float) -> "Crop":
        width = min(max(width, SMALLEST_SHARE * self.widest), self.widest)
        left = self.left + at_x * (self.width - width)
        top = self.top + at_y * (self.height - width / self.aspect)
        return replace(self, left=left, top=top, width=width)._inside()

    def _inside(self) -> "Crop":
        left = min(max(self.left, 0.0), self.photo_width - self.width)
        top = min(max(self.top, 0.0), self.photo_height - self.height)
        return replace(self, left=max(left, 0.0), top=max(top, 0.0))
