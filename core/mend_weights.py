"""How much each question counts in the list to mend.

Drawing comes before value, and value before edge and temperature: a form out of place has to be repainted anyway, and a
right value carries a wrong temperature better than the other way round (common practice, no source). The painter may
weigh them otherwise.
"""

import math
from dataclasses import asdict, dataclass, fields
from typing import Any

from core.errors import PainterError

MEND_WEIGHTS = "mend_weights"
"""The plan that holds them: the weight of each question, by its name."""
LEAST, MOST = 0.125, 16.0


@dataclass(frozen=True)
class MendWeights:
    """Times that a fault of each question counts; a fault of one tolerance weighs so much.

    Raises PainterError for a weight that is not from 0.125 to 16.
    """

    drawing: float = 2.0
    value: float = 1.0
    edge: float = 0.5
    temperature: float = 0.5

    def __post_init__(self) -> None:
        for question, weight in asdict(self).items():
            if not (math.isfinite(weight) and LEAST <= weight <= MOST):
                raise PainterError(
                    f"How much {question} counts in the list to mend goes from {LEAST:g} to {MOST:g}; "
                    f"{weight:g} was asked for."
                )

    def of(self, question: str) -> float:
        """The weight of a question by its name; 1 for one that is not known here."""
        return float(getattr(self, question, 1.0))

    def to_json(self) -> dict[str, float]:
        return asdict(self)

    @classmethod
    def from_json(cls, data: Any) -> "MendWeights":
        """Those that were kept; the usual ones for what is missing or cannot be read."""
        kept = data if isinstance(data, dict) else {}
        try:
            return cls(**{each.name: float(kept[each.name]) for each in fields(cls) if each.name in kept})
        except (TypeError, ValueError, PainterError):
            return cls()


USUAL_WEIGHTS = MendWeights()
