"""How the sittings are looked at and printed: plain values, kept with the view."""

from dataclasses import dataclass
from typing import Any

from core.size import PAPERS


@dataclass(frozen=True)
class SittingView:
    """``sanding``, ``varnishing``: cautions of these are wanted too. ``paper``: its name."""

    sanding: bool = False
    varnishing: bool = False
    paper: str = "A4"

    def to_json(self) -> dict[str, Any]:
        return {"sanding": self.sanding, "varnishing": self.varnishing, "paper": self.paper}

    @classmethod
    def from_json(cls, data: Any) -> "SittingView":
        """What was kept; each part that cannot be read is as usual."""
        if not isinstance(data, dict):
            return cls()
        paper = data.get("paper")
        return cls(
            data.get("sanding") is True,
            data.get("varnishing") is True,
            paper if isinstance(paper, str) and paper in PAPERS else cls().paper,
        )
