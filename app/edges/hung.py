"""The looks of the edge question as they hang: what they are made by, and their titles."""

from dataclasses import dataclass, field

from app.edges.looks import EdgeKey, FadedKey, SeenKey
from app.view import Look
from core.edge.brief import EyeSettings, FocalPoint

NO_FOCUS = "no focal point yet"


@dataclass(frozen=True)
class EdgeShown:
    """``foci`` and ``eye``: as they are now."""

    foci: tuple[FocalPoint, ...] = ()
    eye: EyeSettings = field(default_factory=EyeSettings)

    def key(self, look: Look) -> EdgeKey | None:
        """None for looks of other questions, and for what the eye sees while it does not know where to rest."""
        if look is Look.EDGE_PLAN:
            return FadedKey()
        return SeenKey(self.foci, self.eye) if look is Look.SEEN and self.foci else None

    @property
    def titles(self) -> dict[Look, str]:
        seen = f"as the eye sees it from {distance_words(self.eye.viewing_mm)}" if self.foci else NO_FOCUS
        return {Look.EDGE_PLAN: "edge plan", Look.SEEN: seen}


def distance_words(mm: float) -> str:
    """How far the eye is from the canvas."""
    return f"{mm / 10:.0f} cm"
