"""Line weight to layer: thick lines are contours and thin ones inner forms, where a drawing plainly has two weights."""

from collections.abc import Sequence

import numpy as np

THICK, THIN = "contour", "inner form"
LEAST_RATIO = 1.6
"""The thick lines' mean width over the thin ones'."""
LEAST_SHARE = 0.12
"""Of all length, in either weight."""
EXPLAINED = 0.85
"""Of the spread of widths (variance of their logarithm), what the two weights must explain."""


def layers_of(widths_mm: Sequence[float], lengths_mm: Sequence[float]) -> list[str]:
    """The layer of each line by its width; all ``contour`` unless the widths are clearly of two kinds.

    The widths' logarithms, weighted by length, are cut in two where that explains most of their spread (Otsu 1979).
    """
    plain = [THICK] * len(widths_mm)
    if len(widths_mm) < 4:
        return plain
    width, length = np.log(np.asarray(widths_mm)), np.asarray(lengths_mm)
    order = np.argsort(width)
    w, v = width[order], length[order] / length.sum()
    low = np.cumsum(v)[:-1]
    mean, low_sum = float((v * w).sum()), np.cumsum(v * w)[:-1]
    between = (mean * low - low_sum) ** 2 / np.maximum(low * (1.0 - low), 1e-12)
    spread = float((v * (w - mean) ** 2).sum())
    cut = int(np.argmax(between))
    thin, thick = low_sum[cut] / low[cut], (mean - low_sum[cut]) / max(1.0 - low[cut], 1e-12)
    if spread <= 0.0 or between[cut] < EXPLAINED * spread or thick - thin < np.log(LEAST_RATIO):
        return plain
    if not LEAST_SHARE <= low[cut] <= 1.0 - LEAST_SHARE:
        return plain
    edge = 0.5 * (w[cut] + w[cut + 1])
    return [THICK if each > edge else THIN for each in width]
