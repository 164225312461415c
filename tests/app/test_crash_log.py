"""The log of crashes: what nobody foresaw is written down, without the painter's words, and told at the next start."""

import faulthandler
import logging
import os
import platform
import subprocess
import sys
import threading
from collections.abc import Iterator
from importlib.metadata import version
from pathlib import Path
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QtMsgType, qVersion

from app.crash_log import CRASH_FILE, MOST_BYTES, OLDER_FILE, OPEN_FOLDER, STOPPED, WENT_WRONG, CrashLog, listening
from app.machine import Machine
from app.message import Offer
from app.private_words import LEFT_OUT, native_trace, place_of, said_of, trace_of, without_private
from core.errors import PhotoError
from core.version import VERSION

ROOT = Path(__file__).resolve().parents[2]
SECRET = "Marias Fenster"
_SCRIPT = """
import sys
from pathlib import Path
sys.path.insert(0, {root!r})
from PySide6.QtCore import qFatal
from app.crash_log import CrashLog
log = CrashLog(Path({folder!r}))
log.listen()
def fall(way):
    if way == "native":
        import faulthandler
        faulthandler._sigsegv()
    if way == "qt":
        qFatal("no screen for /home/maria/" + {secret!r} + "/a.jpg")
    if way == "raised":
        open("/nowhere/" + {secret!r} + "/a.jpg")
    log.end()
fall(sys.argv[1])
"""


@pytest.fixture
def log(tmp_path: Path) -> Iterator[CrashLog]:
    made = CrashLog(tmp_path / "kept", private=lambda: ["Quitten im Krug"])
    heard: list[object] = []
    before = sys.excepthook, threading.excepthook, sys.unraisablehook
    sys.excepthook = lambda *told: heard.append(told)
    threading.excepthook = sys.unraisablehook = heard.append
    made.heard = heard  # type: ignore[attr-defined]
    made.listen(native=False, qt=False)
    yield made
    made.end(qt=False)
    sys.excepthook, threading.excepthook, sys.unraisablehook = before


def raised(error: BaseException) -> tuple[type[BaseException], BaseException, object]:
    try:
        raise error
    except BaseException as caught:
        return type(caught), caught, caught.__traceback__


def run_one(folder: Path, way: str) -> int:
    home = folder.parent / SECRET  # the program's own steps lie in a folder of the painter
    home.mkdir(exist_ok=True)
    script = home / "start.py"
    script.write_text(_SCRIPT.format(root=str(ROOT), folder=str(folder), secret=SECRET), encoding="utf-8")
    done = subprocess.run([sys.executable, str(script), way], capture_output=True, check=False, cwd=folder.parent)
    return done.returncode


def test_what_is_raised_in_the_window_is_written_and_handed_on(log: CrashLog) -> None:
    told = raised(IndexError("list index out of range"))
    sys.excepthook(*told)
    assert log.heard == [told]  # type: ignore[attr-defined]
    text = log.file.read_text(encoding="utf-8")
    assert "not foreseen, in the window" in text
    assert "IndexError: list index out of range" in text
    assert f"Easelside {VERSION}" in text
    assert f"Python {platform.python_version()}, {platform.platform()}" in text
    for package in ("PySide6-Essentials", "opencv-python-headless", "numpy"):
        assert f"{package} {version(package)}" in text
    assert f"Qt {qVersion()}" in text
    assert platform.node() not in text or len(platform.node()) < 4


def test_what_is_raised_in_other_threads_is_written(log: CrashLog) -> None:
    def fall() -> None:
        raise ZeroDivisionError("division by zero")

    thread = threading.Thread(target=fall)
    thread.start()
    thread.join()
    text = log.file.read_text(encoding="utf-8")
    assert "in a thread beside the window" in text
    assert "ZeroDivisionError: division by zero" in text
    assert len(log.heard) == 1  # type: ignore[attr-defined]


def test_what_cannot_be_handed_on_is_written(log: CrashLog) -> None:
    class Falls:
        def __del__(self) -> None:
            raise RuntimeError("too late")

    fallen = Falls()
    del fallen
    assert "RuntimeError: too late" in log.file.read_text(encoding="utf-8")


def test_stopping_by_the_keyboard_is_no_crash(log: CrashLog) -> None:
    for error in (KeyboardInterrupt(), SystemExit(3)):
        sys.excepthook(*raised(error))
    assert not log.file.exists()
    assert len(log.heard) == 2  # type: ignore[attr-defined]


def test_only_what_qt_gives_up_over_is_written(log: CrashLog, capsys: pytest.CaptureFixture[str]) -> None:
    log._said_by_qt(QtMsgType.QtWarningMsg, None, "a small matter")
    assert not log.file.exists()
    log._said_by_qt(QtMsgType.QtFatalMsg, None, "no screen")
    assert "Qt gave up\n" in log.file.read_text(encoding="utf-8")
    assert "\na small matter\nno screen\n" in log.file.read_text(encoding="utf-8")
    assert capsys.readouterr().err.splitlines() == ["a small matter", "no screen"]


def test_the_painter_s_words_are_left_out(log: CrashLog) -> None:
    home = Path.home().name
    try:
        try:
            Path(f"/home/x/{SECRET}/jug.jpg").read_bytes()
        except OSError as error:
            raise ValueError(
                f"no room for '{SECRET}' of {home} in Quitten im Krug, C:\\Bilder\\{SECRET}.tif"
            ) from error
    except ValueError as error:
        sys.excepthook(*raised(error))
    sys.excepthook(*raised(PhotoError(f"“{SECRET}.jpg” is damaged.")))
    text = log.file.read_text(encoding="utf-8")
    for word in (SECRET, "Marias", "Fenster", "Quitten", "jug.jpg", "/home", "Bilder", str(Path.home())):
        assert word not in text
    assert "FileNotFoundError [Errno 2]" in text or "FileNotFoundError [2]" in text
    assert "No such file or directory" in text or sys.platform == "win32"
    assert "no room for … of" in text
    assert "and from this:" in text
    assert "PhotoError" in text


@settings(max_examples=60, deadline=None)
@given(st.text(st.characters(exclude_characters="'\"“”‘’«»`\n:;,()[]{}"), min_size=3, max_size=30), st.integers(0, 3))
def test_no_name_in_quotes_or_in_a_path_comes_through(name: str, way: int) -> None:
    name = "Zq" + name.strip()
    said = (f"no '{name}' here", f"no “{name}” here", f"no /home/{name}/x here", f'no "{name}')[way]
    assert "Zq" not in without_private(said)


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (KeyError("Maria"), f"KeyError: {LEFT_OUT}"),
        (PermissionError(13, "Permission denied", "/home/maria"), "PermissionError [13] Permission denied"),
        (OSError("something of /home/maria"), "OSError"),
        (UnicodeDecodeError("utf-8", b"Maria", 0, 1, "bad"), "UnicodeDecodeError"),
        (TypeError("f() takes 2 positional arguments but 3 were given"), None),
        (RuntimeError(""), "RuntimeError"),
        (RuntimeError("a" * 5000), "RuntimeError: " + "a" * 300),
    ],
)
def test_words_of_errors(error: BaseException, said: str | None) -> None:
    assert said_of(error) == (said if said is not None else f"TypeError: {error}")


def test_places_are_told_from_the_project(tmp_path: Path) -> None:
    assert place_of(str(ROOT / "app" / "window.py")) == "app/window.py"
    assert place_of(str(ROOT / "secret" / "window.py")) == LEFT_OUT
    assert place_of(str(tmp_path / "a.py")) == LEFT_OUT
    assert place_of(pytest.__file__).startswith("packages/")
    assert place_of(logging.__file__) == "python/logging/__init__.py"
    assert place_of("app/window.py") == "app/window.py"
    assert place_of("maria/window.py") == LEFT_OUT


def test_steps_are_told_by_line_and_function() -> None:
    _, error, trace = raised(AssertionError())
    told = trace_of(error, trace)  # type: ignore[arg-type]
    assert told.startswith(f"  {LEFT_OUT}:")
    assert told.splitlines()[0].endswith(" in raised")
    assert told.splitlines()[-1] == "AssertionError"


def test_native_traces_are_made_short() -> None:
    file = ROOT / "core" / "photo.py"
    text = (
        f'Fatal Python error: Aborted\n\nCurrent thread 0x1 (most recent call first):\n  File "{file}", line 7 in a\n'
    )
    text += '  File "/home/maria/x.py", line 9 in <module>\n\nExtension modules: numpy (total: 1)\n'
    assert native_trace(text).splitlines() == [
        "Fatal Python error: Aborted", "Current thread 0x1 (most recent call first):", "  core/photo.py:7 in a",
        f"  {LEFT_OUT}:9 in <module>", "Extension modules: numpy (total: 1)",
    ]  # fmt: skip


def test_a_run_without_faults_leaves_nothing(tmp_path: Path) -> None:
    log = CrashLog(tmp_path)
    log.listen(native=False, qt=False)
    log.end(qt=False)
    assert not list(tmp_path.iterdir())
    assert CrashLog(tmp_path).notice == ""


def test_the_next_start_tells_once(log: CrashLog) -> None:
    sys.excepthook(*raised(IndexError("x")))
    log.end(qt=False)
    assert CrashLog(log.folder).notice == WENT_WRONG
    assert CrashLog(log.folder).notice == ""
    assert [file.name for file in log.folder.iterdir()] == [CRASH_FILE]


@pytest.mark.parametrize("way", ["native", "qt"])
def test_a_fall_of_the_whole_program_is_told_at_the_next_start(way: str, tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    assert run_one(folder, way) != 0
    log = CrashLog(folder)
    assert log.notice == STOPPED
    text = log.file.read_text(encoding="utf-8")
    assert "stopped by the system" in text
    assert f"Easelside {VERSION}" in text
    assert "in fall" in text
    assert ("Segmentation fault" if way == "native" else "Aborted") in text or sys.platform == "win32"
    if way == "qt":
        assert "Qt gave up\n" in text
        assert f"no screen for {LEFT_OUT}" in text
    assert SECRET not in text
    assert "start.py" not in text
    assert [file.name for file in folder.iterdir()] == [CRASH_FILE]


def test_the_file_of_a_run_that_goes_on_is_left_alone(tmp_path: Path) -> None:
    other = tmp_path / f"crash of run {os.getppid()}.txt"
    other.write_text("facts\n--\nFatal Python error: Aborted\n", encoding="utf-8")
    assert CrashLog(tmp_path).notice == ""
    assert other.exists()


def test_a_run_that_was_merely_cut_off_is_no_crash(tmp_path: Path) -> None:
    cut = tmp_path / "crash of run 99999999.txt"
    cut.write_text("facts\n--\n", encoding="utf-8")
    assert CrashLog(tmp_path).notice == ""
    assert not cut.exists()


def test_the_file_turns_over_and_stays_small(log: CrashLog) -> None:
    for number in range(30):
        log.write(f"number {number}", "x" * (MOST_BYTES // 10))
    older = log.folder / OLDER_FILE
    assert log.file.stat().st_size < 1.2 * MOST_BYTES
    assert older.stat().st_size < 1.2 * MOST_BYTES
    assert "number 29" in log.file.read_text(encoding="utf-8")
    assert "number 0\n" not in older.read_text(encoding="utf-8")


def test_a_folder_that_cannot_be_written_is_put_up_with(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    log = CrashLog(tmp_path / "file" / "inside")
    log.listen(native=False, qt=False)
    try:
        log.write("x", "y")
    finally:
        log.end(qt=False)
    assert log.notice == ""


def test_words_that_cannot_be_had_are_done_without(tmp_path: Path) -> None:
    def fails() -> list[str]:
        raise RuntimeError

    log = CrashLog(tmp_path, private=fails)
    log._keep("here", ValueError("bad"), None)
    assert "ValueError: bad" in log.file.read_text(encoding="utf-8")


class Told:
    """Stands for the window: what was said, what was opened."""

    def __init__(self) -> None:
        self.said: list[tuple[str, str]] = []
        self.opened: list[Path] = []
        self.dialogs = SimpleNamespace(open_file=self.opened.append)

    def say(self, sentence: str, *offers: Offer) -> None:
        self.said += [(sentence, offer.label) for offer in offers]
        for offer in offers:
            offer.do()


def test_while_the_window_is_open(tmp_path: Path) -> None:
    machine, heard, before = Machine(tmp_path), [], sys.excepthook
    machine.opened(tmp_path / "Am Fenster", "Marias Krug", "40 x 30 cm")

    def unexpected(*told: object) -> None:
        heard.append(told)

    first, second = Told(), Told()
    enabled = faulthandler.is_enabled()
    with listening(machine, first, unexpected) as log:  # type: ignore[arg-type]
        sys.excepthook(*raised(RuntimeError("Marias Krug of Am Fenster is odd")))
    assert sys.excepthook is before
    assert len(heard) == 1
    assert not first.said
    assert f"RuntimeError: {LEFT_OUT} of {LEFT_OUT} is odd" in log.file.read_text(encoding="utf-8")
    with listening(machine, second, unexpected):  # type: ignore[arg-type]
        pass
    assert second.said == [(WENT_WRONG, OPEN_FOLDER)]
    assert second.opened == [tmp_path]
    if enabled:
        faulthandler.enable()
