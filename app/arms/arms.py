"""Arm's length as part of the desk: opened by one action, closed by Esc, what is chosen in it kept on the machine."""

from collections.abc import Callable

from PySide6.QtWidgets import QWidget

from app.arms.awake import NOT_KEPT, Awake, awake_here
from app.arms.keys import Keys
from app.arms.showing import Source
from app.arms.surround import surround_of
from app.arms.window import ArmsWindow
from app.machine import Machine
from app.studio import Studio


class ArmsLength:
    """Made with the desk; its window is made when it is first wanted.

    ``check`` asks for a check; ``source``: where the pictures come from, unless it is the wall of the desk; ``awake``
    keeps the screen awake while it is open.
    """

    def __init__(
        self,
        studio: Studio,
        check: Callable[[], object],
        desk: QWidget,
        *,
        source: Source | None = None,
        awake: Awake | None = None,
    ) -> None:
        self._studio, self._check, self._desk = studio, check, desk
        self._source, self._awake = source or Source.of(studio), awake
        self.machine: Machine | None = None
        self.window: ArmsWindow | None = None

    def handlers(self) -> dict[str, Callable[[], object]]:
        return {"arms_view": self.toggle}

    @property
    def is_open(self) -> bool:
        return self.window is not None and self.window.isVisible()

    def toggle(self) -> None:
        if self.is_open:
            self.close()
        else:
            self.open()

    def open(self) -> None:
        """Fill the screen that the desk is on."""
        if self.is_open:
            return
        window = self.window or self._make()
        awake = self._awake = self._awake or awake_here()
        try:
            window.open_on(self._desk.screen(), "" if awake.hold() else NOT_KEPT)
        except BaseException:
            awake.release()
            raise

    def close(self) -> None:
        """Take it away, and let the screen go dark again as it likes."""
        if self.window is not None:
            self.window.close()
        self._release()

    def _make(self) -> ArmsWindow:
        window = self.window = ArmsWindow(self._studio, self._source, self._check, self._desk)
        if self.machine is not None:
            window.use_keys(Keys.from_json(self.machine.kept.arms_keys))
            window.use_surround(surround_of(self.machine.kept.arms_surround))
        else:
            window.use_surround(surround_of(""))
        window.keys_chosen.connect(lambda keys: self._keep(arms_keys=keys.to_json()))
        window.surround_chosen.connect(lambda name: self._keep(arms_surround=name))
        window.closed.connect(self._release)
        window.destroyed.connect(self._gone)
        return window

    def _keep(self, **changes: object) -> None:
        if self.machine is not None:
            self.machine.keep(**changes)

    def _gone(self) -> None:
        """The desk has taken its window with it."""
        self.window = None
        self._release()

    def _release(self) -> None:
        if self._awake is not None:
            self._awake.release()
