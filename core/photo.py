"""A photograph: its pixels as linear light, and where they came from."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Source:
    """Where a photograph's pixels came from, in words a painter can read."""

    name: str = ""
    format: str = ""
    profile: str = "sRGB"
    bits: int = 8
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Photo:
    """Pixels as small whole-number codes and the one curve that turns every code into linear light.

    ``codes``: ``(H, W, 3)`` uint8 or uint16, upright (EXIF orientation already applied).
    ``curve``: ``(256,)`` or ``(65536,)`` float32, linear light in the sRGB primaries of each code; it may go
    below 0 and above 1 for colours outside the sRGB gamut.
    """

    codes: NDArray[Any]
    curve: NDArray[np.float32]
    source: Source = field(default_factory=Source)

    @property
    def width(self) -> int:
        return int(self.codes.shape[1])

    @property
    def height(self) -> int:
        return int(self.codes.shape[0])

    def linear(self) -> NDArray[np.float32]:
        """Linear light, ``(H, W, 3)`` float32."""
        return np.take(self.curve, self.codes)
