"""The screen is kept awake while the painter only looks: asked of the system, and given back for certain.

- Linux and BSD: ``org.freedesktop.ScreenSaver`` (freedesktop.org's Idle Inhibition Service, draft 0.1), over a bus
  connection of its own. A wish ends with the connection that made it, so closing that gives it back; ``UnInhibit``
  wants an unsigned number, which PySide cannot send.
- macOS: Apple's ``caffeinate -di -w PID``, which ends with the program too.
- Windows: ``SetThreadExecutionState``; its flags are Microsoft's (winbase.h). It holds for the thread that asked.
"""

import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Protocol

if TYPE_CHECKING:
    from PySide6.QtDBus import QDBusConnection

NOT_KEPT = "This computer cannot be kept awake from here: its screen may go dark."
_SERVICE, _PATH = "org.freedesktop.ScreenSaver", "/org/freedesktop/ScreenSaver"
_CONNECTION = "easelside awake"
_ANSWER_MS = 500
_WHY = "The painting is looked at from the easel"
_CONTINUOUS, _SYSTEM, _DISPLAY = 0x80000000, 0x00000001, 0x00000002
_PATIENCE_S = 2.0


class Awake(Protocol):
    """``hold`` says whether the screen is kept awake; ``release`` may be called at any time, and again."""

    def hold(self) -> bool:
        """Keep the screen awake from now on."""

    def release(self) -> None:
        """Let it go dark again as it likes."""


class NeverAwake:
    """Where no way is known."""

    def hold(self) -> bool:
        return False

    def release(self) -> None:
        """Nothing is held."""


class BusAwake:
    """``connect`` opens a bus by a name, ``disconnect`` closes it."""

    def __init__(
        self,
        connect: "Callable[[str], QDBusConnection] | None" = None,
        disconnect: Callable[[str], None] | None = None,
    ) -> None:
        self._connect, self._disconnect = connect or _session_bus, disconnect or _leave_bus
        self._held = False

    def hold(self) -> bool:
        from PySide6.QtDBus import QDBus, QDBusMessage

        if self._held:
            return True
        bus = self._connect(_CONNECTION)
        if bus.isConnected():
            wish = QDBusMessage.createMethodCall(_SERVICE, _PATH, _SERVICE, "Inhibit")
            wish.setArguments(["Easelside", _WHY])
            answer = bus.call(wish, QDBus.CallMode.Block, _ANSWER_MS)
            self._held = answer.type() == QDBusMessage.MessageType.ReplyMessage
        del bus  # a connection that is still named is not closed
        if not self._held:
            self._disconnect(_CONNECTION)
        return self._held

    def release(self) -> None:
        if self._held:
            self._held = False
            self._disconnect(_CONNECTION)


class _Process(Protocol):
    def terminate(self) -> None: ...
    def wait(self, timeout: float) -> int: ...
    def poll(self) -> int | None: ...


class ProcessAwake:
    """``start`` starts a program that keeps the screen awake for as long as it runs."""

    def __init__(self, start: Callable[[Sequence[str]], _Process] | None = None) -> None:
        self._start = start or _start
        self._process: _Process | None = None

    def hold(self) -> bool:
        if self._process is None or self._process.poll() is not None:
            try:
                self._process = self._start(("/usr/bin/caffeinate", "-di", "-w", str(os.getpid())))
            except OSError:
                self._process = None
        return self._process is not None

    def release(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            with suppress(OSError, TimeoutError, _timeout()):
                process.terminate()
                process.wait(_PATIENCE_S)


class ThreadAwake:
    """``set_state`` is kernel32's SetThreadExecutionState: 0 says that it failed."""

    def __init__(self, set_state: Callable[[int], int] | None = None) -> None:
        self._set_state = set_state or _kernel()
        self._held = False

    def hold(self) -> bool:
        self._held = self._set_state(_CONTINUOUS | _SYSTEM | _DISPLAY) != 0
        return self._held

    def release(self) -> None:
        if self._held:
            self._held = False
            self._set_state(_CONTINUOUS)


def awake_here(platform: str = sys.platform) -> Awake:
    """The way of this system."""
    if platform == "win32":
        return ThreadAwake()
    if platform == "darwin":
        return ProcessAwake()
    try:
        import PySide6.QtDBus  # noqa: F401
    except ImportError:
        return NeverAwake()
    return BusAwake()


def _session_bus(name: str) -> "QDBusConnection":
    from PySide6.QtDBus import QDBusConnection

    if not os.environ.get("DBUS_SESSION_BUS_ADDRESS") and not os.environ.get("XDG_RUNTIME_DIR"):
        return QDBusConnection("")  # none is started for this
    return QDBusConnection.connectToBus(QDBusConnection.BusType.SessionBus, name)


def _leave_bus(name: str) -> None:
    from PySide6.QtDBus import QDBusConnection

    QDBusConnection.disconnectFromBus(name)


def _start(command: Sequence[str]) -> _Process:
    from subprocess import DEVNULL, Popen

    return Popen(command, stdin=DEVNULL, stdout=DEVNULL, stderr=DEVNULL)


def _timeout() -> type[Exception]:
    from subprocess import TimeoutExpired

    return TimeoutExpired


def _kernel() -> Callable[[int], int]:
    import ctypes

    library: Any = getattr(ctypes, "windll", None)  # only there on Windows
    if library is None:
        return lambda flags: 0
    set_state = library.kernel32.SetThreadExecutionState
    set_state.argtypes, set_state.restype = (ctypes.c_uint32,), ctypes.c_uint32
    return lambda flags: int(set_state(flags))
