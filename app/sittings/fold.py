"""What the folds of the sittings panel share: they follow what is kept of the sittings."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLayout, QWidget

from app.questions.fold import SeenFold
from app.sittings.reads import SittingReads
from app.sittings.settings import SittingView
from app.studio import Studio


class SittingFold(SeenFold):
    """Follows the studio. The keyboard goes through its parts from the top down, also those that came later."""

    def __init__(self, studio: Studio, heading: str, *, is_open: bool = True) -> None:
        self._order: list[QWidget] = []
        super().__init__(studio, heading, is_open=is_open)

    @property
    def reads(self) -> SittingReads:
        return self.studio.sittings

    @property
    def settings(self) -> SittingView:
        return self.studio.view.sittings

    def set_view(self, **changes: object) -> None:
        """Look at the sittings differently."""
        view = self.studio.view
        changed: SittingView = replace(view.sittings, **changes)  # type: ignore[arg-type]
        self.studio.change_view(replace(view, sittings=changed))

    def refresh(self) -> None:
        super().refresh()
        order = list(reached_by_tab(self))
        if order != self._order:
            self._order = order
            for one, other in pairwise(order):
                QWidget.setTabOrder(one, other)

    def commit(self) -> None:
        """Keep what is written and not kept yet."""


def reached_by_tab(within: QWidget) -> Iterator[QWidget]:
    """What the keyboard stops at, in the order of the layouts."""
    layout = within.layout()
    return _in_layout(layout) if layout is not None else iter(())


def _in_layout(layout: QLayout) -> Iterator[QWidget]:
    for place in range(layout.count()):
        item = layout.itemAt(place)
        widget, inner = (None, None) if item is None else (item.widget(), item.layout())
        if widget is not None and widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
            yield widget
        elif widget is not None:
            yield from reached_by_tab(widget)
        elif inner is not None:
            yield from _in_layout(inner)
