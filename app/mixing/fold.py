"""What the folds of the mix panel share: they follow what is to be mixed, and change how it is looked for."""

from dataclasses import replace

from app.mixing.reads import MixReads
from app.mixing.settings import MixView
from app.questions.fold import Fold
from app.studio import Studio


class MixFold(Fold):
    """Follows the studio."""

    def __init__(self, studio: Studio, heading: str, *, is_open: bool = True) -> None:
        super().__init__(heading, is_open=is_open)
        self.studio = studio
        self.heading.toggled.connect(self.refresh)

    @property
    def reads(self) -> MixReads:
        return self.studio.mixes

    @property
    def settings(self) -> MixView:
        return self.studio.view.mixing

    def refresh(self) -> None:
        if self.isVisible() and self.is_open:
            self.show_now()

    def show_now(self) -> None:
        """Bring what is seen up to date; only called while it is."""

    def set_view(self, **changes: object) -> None:
        """Look for mixes differently."""
        view = self.studio.view
        changed: MixView = replace(view.mixing, **changes)  # type: ignore[arg-type]
        self.studio.change_view(replace(view, mixing=changed))
