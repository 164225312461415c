"""Settings that a stepper's buttons step through, as rising numbers; and those of a brush over the wall."""

from collections.abc import Sequence

BRUSHES_MM = (1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0, 24.0, 40.0)
MOST_STROKES = 200


def stepped(among: Sequence[float], number: float, by: int) -> float:
    """The next of the rising settings above or below a number, which need not be one of them."""
    beyond = [each for each in among if (each - number) * by > 1e-9]
    if not beyond:
        return min(max(number, among[0]), among[-1])
    return min(beyond) if by > 0 else max(beyond)


def can_step(among: Sequence[float], number: float, by: int) -> bool:
    return abs(stepped(among, number, by) - number) > 1e-9
