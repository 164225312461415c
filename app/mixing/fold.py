"""What the folds of the mix panel share: they follow what is to be mixed, and change how it is looked for."""

from dataclasses import replace

from app.mixing.reads import MixReads
from app.mixing.settings import MixView
from app.questions.fold import SeenFold


class MixFold(SeenFold):
    """Follows the studio."""

    @property
    def reads(self) -> MixReads:
        return self.studio.mixes

    @property
    def settings(self) -> MixView:
        return self.studio.view.mixing

    def set_view(self, **changes: object) -> None:
        """Look for mixes differently."""
        view = self.studio.view
        changed: MixView = replace(view.mixing, **changes)  # type: ignore[arg-type]
        self.studio.change_view(replace(view, mixing=changed))
