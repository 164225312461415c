"""What a hand-over puts up with, in one place."""

from dataclasses import dataclass

MEGABYTE = 1_000_000


@dataclass(frozen=True)
class Limits:
    """Sizes in bytes, times in seconds. 80 MB hold a picture of 26 megapixels even where nothing is compressed."""

    photo_bytes: int = 80 * MEGABYTE
    photos: int = 200  # in one hand-over
    at_once: int = 3
    connections: int = 16
    request_s: float = 10.0  # for the request itself to be there, before any picture
    linger_s: float = 1.0  # in which the rest of a refused photo is let pass, so that the phone hears why
    stall_s: float = 15.0  # without a single byte of a picture
    grace_s: float = 20.0  # after which a picture must have come at the least speed
    least_bytes_per_s: float = 16_000.0
    code_s: float = 300.0  # for the phone to open the page
    idle_s: float = 600.0
    tick_s: float = 0.1  # how often it is looked whether to close
    spare_bytes: int = 500 * MEGABYTE  # that must stay free on the disk

    @property
    def megabytes(self) -> str:
        """The size of the largest photo, as it is told."""
        return f"{self.photo_bytes / MEGABYTE:g}"
