"""An address as a QR code that a window can paint crisply."""

import numpy as np
from numpy.typing import NDArray

QUIET = 4
"""Modules of light around the code: ISO/IEC 18004:2015, 6.3.8."""


def qr_modules(text: str) -> NDArray[np.bool_]:
    """The modules of the QR code of ``text`` with their quiet zone, ``(N, N)`` bool, True where dark.

    Paint each as a square of whole pixels, dark on light. Level M: a seventh of it may be out of sight.
    """
    import segno

    code = segno.make_qr(text, error="m")
    return np.pad(np.array([list(row) for row in code.matrix], dtype=bool), QUIET)
