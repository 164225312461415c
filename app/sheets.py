"""The sheets that lie over the whole window: keys, and what the answers mean. One at a time."""

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from app.help.sheet import HelpSheet
from app.keys_sheet import KeysSheet
from app.view import Question


class Sheets:
    """``question``: the panel that is open, whose help is wanted; None when there is none."""

    def __init__(self, host: QWidget, question: Callable[[], Question | None]) -> None:
        self.keys, self.help = KeysSheet(host), HelpSheet(host)
        self._question = question

    def handlers(self) -> dict[str, Callable[[], object]]:
        return {"keys": self.keys.show_keys, "help": self.show_help}

    def show_help(self) -> None:
        self.help.show_page(self._question() or Question.MEND)

    def put_away(self, action: str = "") -> bool:
        """All; True when that of this action was up."""
        was_up = {"keys": not self.keys.isHidden(), "help": not self.help.isHidden()}.get(action, False)
        self.keys.put_away()
        self.help.put_away()
        return was_up
