"""The screen is kept awake while it is looked at from the easel, and let go for certain: on a bus of its own with a
stand-in for the screen saver's service; the ways of macOS and Windows with stand-ins for what they call."""

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from subprocess import PIPE, Popen, TimeoutExpired

import pytest
from PySide6.QtDBus import QDBusConnection

from app.arms.awake import BusAwake, NeverAwake, ProcessAwake, ThreadAwake, awake_here

# Told on lines: what was asked for, and when the one who asked has gone from the bus, as screen savers watch for it.
SERVICE = """
import sys
from PySide6.QtCore import QCoreApplication, QObject, Slot
from PySide6.QtDBus import QDBusConnection, QDBusServiceWatcher
class Saver(QObject):
    @Slot(str, str, result="uint")
    def Inhibit(self, who, why):
        for name in bus.interface().registeredServiceNames().value():
            if name.startswith(":") and name != bus.baseService():
                watcher.addWatchedService(name)
        print("held", who, bool(why), flush=True)
        return 7
app = QCoreApplication([])
bus = QDBusConnection.connectToBus(sys.argv[1], "service")
watcher = QDBusServiceWatcher()
watcher.setConnection(bus)
watcher.setWatchMode(QDBusServiceWatcher.WatchModeFlag.WatchForUnregistration)
watcher.serviceUnregistered.connect(lambda name: print("let go", flush=True))
saver = Saver()
path = "/org/freedesktop/ScreenSaver"
bus.registerObject(path, "org.freedesktop.ScreenSaver", saver, QDBusConnection.RegisterOption.ExportAllSlots)
print(bus.registerService("org.freedesktop.ScreenSaver"), flush=True)
app.exec()
"""
needs_bus = pytest.mark.skipif(shutil.which("dbus-daemon") is None, reason="there is no dbus-daemon here")


def _end(process: "Popen[str]") -> None:
    process.kill()
    process.communicate()


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    """A bus that nobody else is on."""
    command = ["dbus-daemon", "--session", "--nofork", "--print-address=1"]
    bus = Popen(command, stdout=PIPE, stderr=subprocess.DEVNULL, text=True)
    assert bus.stdout is not None
    yield bus.stdout.readline().strip()
    _end(bus)


@pytest.fixture
def service(address: str) -> Iterator["Popen[str]"]:
    made = Popen([sys.executable, "-c", SERVICE, address], stdout=PIPE, text=True)
    assert made.stdout is not None
    assert made.stdout.readline() == "True\n"
    yield made
    _end(made)


def on(address: str) -> BusAwake:
    return BusAwake(connect=lambda name: QDBusConnection.connectToBus(address, name))


@needs_bus
def test_the_screen_saver_is_held_and_let_go(address: str, service: "Popen[str]") -> None:
    awake = on(address)
    assert service.stdout is not None
    for _ in range(2):  # and again, on a new connection
        assert awake.hold()
        assert awake.hold()
        assert service.stdout.readline() == "held Easelside True\n"
        awake.release()
        awake.release()
        assert service.stdout.readline() == "let go\n"


@needs_bus
def test_a_bus_without_a_screen_saver_keeps_nothing_awake(address: str) -> None:
    awake = on(address)
    assert not awake.hold()
    awake.release()


def test_without_a_bus_nothing_is_kept_awake(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("DBUS_SESSION_BUS_ADDRESS", "XDG_RUNTIME_DIR"):
        monkeypatch.delenv(name, raising=False)
    awake = BusAwake()
    assert not awake.hold()
    awake.release()


class FakeProcess:
    """Runs until it is ended; one that is ``stubborn`` does not listen."""

    def __init__(self, *, stubborn: bool = False) -> None:
        self.stubborn, self.ended = stubborn, False

    def terminate(self) -> None:
        self.ended = True

    def wait(self, timeout: float) -> int:
        if self.stubborn:
            raise TimeoutExpired("caffeinate", timeout)
        return 0

    def poll(self) -> int | None:
        return 0 if self.ended else None


@pytest.mark.parametrize("stubborn", [False, True])
def test_macos_runs_a_program_for_as_long_as_it_is_wanted(stubborn: bool) -> None:
    started: list[list[str]] = []
    process = FakeProcess(stubborn=stubborn)
    awake = ProcessAwake(start=lambda command: started.append(list(command)) or process)
    assert awake.hold()
    assert awake.hold()
    assert started == [["/usr/bin/caffeinate", "-di", "-w", str(os.getpid())]]
    awake.release()
    assert process.ended
    awake.release()


def test_macos_without_that_program_says_so() -> None:
    def missing(command):
        raise FileNotFoundError(command[0])

    assert not ProcessAwake(start=missing).hold()


@pytest.mark.parametrize(("answer", "kept"), [(0x80000000, True), (0, False)])
def test_windows_is_told_and_told_back(answer: int, kept: bool) -> None:
    told: list[int] = []
    awake = ThreadAwake(set_state=lambda flags: told.append(flags) or answer)
    assert awake.hold() is kept
    awake.release()
    awake.release()
    # ES_CONTINUOUS | ES_SYSTEM_REQUIRED | ES_DISPLAY_REQUIRED, then ES_CONTINUOUS: winbase.h
    assert told == ([0x80000003, 0x80000000] if kept else [0x80000003])


def test_each_system_has_its_way() -> None:
    kinds = {name: type(awake_here(name)) for name in ("linux", "darwin", "win32")}
    assert kinds == {"linux": BusAwake, "darwin": ProcessAwake, "win32": ThreadAwake}
    assert not NeverAwake().hold()
