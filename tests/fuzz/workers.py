"""Files are opened in processes of their own, each under a limit of time and memory, so that a fault of a library
that would take the process down, or never end, is known by its file.

Linux only as to the limits; elsewhere files are opened without them.
"""

import multiprocessing
import os
import re
import signal
import sys
import time
import traceback
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from multiprocessing.connection import Connection, wait

SECONDS = 5.0
"""Of processor time, for one file."""
WAITING_SECONDS = 60.0
"""Of the clock's time, which goes on while others use the processor."""
MEGABYTES = 1000
"""Beyond what the process has when it is ready; the largest photo that is let in takes 720 (60 megapixels)."""
LOADED, REFUSED, FAULT = "loaded", "refused", "fault"

_ODD_NUMBERS = re.compile(r"\de[+-]\d|\(\d+(\.\d+)?, ")
_UNSPOKEN = ("Error", "Exception", "Traceback", "None", "errno", "{", "}", "PIL", "numpy", "decode")
_NO_MEMORY = "not enough memory"


Look = Callable[[str, bytes], tuple[str, str]]


@dataclass(frozen=True)
class Outcome:
    """What became of a file. ``seconds`` of processor time; ``megabytes``: the most the worker ever had, over its
    beginnings."""

    number: int
    result: str
    words: str = ""
    seconds: float = 0.0
    megabytes: float = 0.0


def open_one(name: str, data: bytes) -> tuple[str, str]:
    """What became of one file, and in what words. Only the house's own refusals may come out of the loader."""
    from core.errors import DrawingError, PhotoError

    try:
        if name.endswith((".svg", ".svgz")):
            _look_at_drawing(data)
        else:
            _look_at_photo(data, name)
    except (PhotoError, DrawingError) as refusal:
        sentence = str(refusal)
        told = re.sub("“.*?”", "", sentence)
        if any(word in told for word in _UNSPOKEN) or _ODD_NUMBERS.search(told) or not sentence.endswith("."):
            return FAULT, f"not a plain sentence: {sentence}"
        return (FAULT if _NO_MEMORY in sentence else REFUSED), sentence
    except BaseException:
        return FAULT, traceback.format_exc()
    return LOADED, ""


def _look_at_photo(data: bytes, name: str) -> None:
    import numpy as np

    from core.photo import load_photo_bytes

    photo = load_photo_bytes(data, name)
    assert photo.codes.ndim == 3
    assert photo.codes.shape[2] == 3
    assert photo.curve.shape == ({1: 256, 2: 65536}[photo.codes.dtype.itemsize],)
    assert np.isfinite(photo.curve).all()
    assert np.isfinite(photo.reduced(32)).all()


def _look_at_drawing(data: bytes) -> None:
    import numpy as np

    from core.drawing.svg_read import drawing_from_svg
    from core.size import Size

    drawing = drawing_from_svg(data, Size(400.0, 300.0))
    for line in drawing.lines:
        assert np.isfinite(line.points).all()
        assert len(line.points) % 3 == 1
    assert all(0.0 <= mark.x_mm <= 400.0 and 0.0 <= mark.y_mm <= 300.0 for mark in drawing.landmarks)


class Pool:
    """Opens files with ``count`` workers; a worker that is lost is replaced, and its file has a fault."""

    def __init__(self, count: int = 1, look: Look | None = None, seconds: float = SECONDS) -> None:
        """``look`` opens one file, ``open_one`` by itself; it must be a function of a module."""
        self._workers = [_Worker(look or open_one, seconds) for _ in range(count)]

    def close(self) -> None:
        for worker in self._workers:
            worker.close()

    def run(self, files: Iterator[tuple[int, str, bytes]]) -> Iterator[Outcome]:
        """The outcome of each ``(number, name, data)``, in the order in which they are known."""
        idle, busy = list(self._workers), []
        more = True
        while more or busy:
            while idle and more:
                file = next(files, None)
                more = file is not None
                if file is not None:
                    worker = idle.pop()
                    worker.give(*file)
                    busy.append(worker)
            ready = wait([worker.pipe for worker in busy], timeout=1.0) if busy else []
            for worker in list(busy):
                outcome = worker.outcome(worker.pipe in ready)
                if outcome is not None:
                    busy.remove(worker)
                    idle.append(worker)
                    yield outcome


class _Worker:
    def __init__(self, look: Look, seconds: float) -> None:
        self._look, self._seconds = look, seconds
        self._start()

    def _start(self) -> None:
        context = multiprocessing.get_context("spawn")
        self.pipe, far = context.Pipe()
        self._process = context.Process(target=_work, args=(far, self._look, self._seconds), daemon=True)
        self._process.start()
        far.close()
        if not self.pipe.poll(WAITING_SECONDS) or self.pipe.recv() != "ready":
            raise RuntimeError("a worker did not start")

    def give(self, number: int, name: str, data: bytes) -> None:
        self._number, self._since = number, time.monotonic()
        self.pipe.send((name, data))

    def outcome(self, ready: bool) -> Outcome | None:
        if ready:
            try:
                return Outcome(self._number, *self.pipe.recv())
            except (EOFError, ConnectionResetError):
                self._process.join()
                words = _lost(self._process.exitcode or 0, self._seconds)
        elif time.monotonic() - self._since < WAITING_SECONDS:
            return None
        else:
            self._process.kill()
            words = "no end in sight"
        self.close()
        self._start()
        return Outcome(self._number, FAULT, words, self._seconds)

    def close(self) -> None:
        self.pipe.close()
        self._process.join(1.0)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()


def _lost(code: int, seconds: float) -> str:
    if -code == getattr(signal, "SIGPROF", 0):
        return f"more than {seconds:g} s of processor time"
    return f"the process was lost: {signal.Signals(-code).name if code < 0 else code}"


def _work(pipe: Connection, look: Look, seconds: float) -> None:
    start_megabytes = _made_ready(look)
    pipe.send("ready")
    while True:
        try:
            name, data = pipe.recv()
        except (EOFError, KeyboardInterrupt):
            return
        started = time.process_time()
        _allow(seconds)
        result, words = look(name, data)
        _allow(0.0)
        pipe.send((result, words, time.process_time() - started, _most_megabytes() - start_megabytes))


def _made_ready(look: Look) -> float:
    """Load what opening files needs, then set the limit of memory; the megabytes had by then."""
    if look is open_one:
        import cv2

        from tests.fuzz.picture_seeds import picture_seeds

        cv2.setNumThreads(1)
        for name, data in picture_seeds().items():
            result, words = open_one(name, data)
            assert result == LOADED, f"{name}: {words}"
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 2)  # libtiff says what it thinks of each file
    if sys.platform == "linux":
        import resource

        with open("/proc/self/statm", encoding="ascii") as told:
            mapped = int(told.read().split()[0]) * resource.getpagesize()
        limit = mapped + MEGABYTES * 1_000_000
        resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    return _most_megabytes()


def _allow(seconds: float) -> None:
    if sys.platform != "win32":  # its signal ends the process, wherever it is
        signal.setitimer(signal.ITIMER_PROF, seconds)


def _most_megabytes() -> float:
    """Of this process alone; what ``getrusage`` tells counts in the process that started it. 0 where it is not told."""
    if sys.platform != "linux":
        return 0.0
    with open("/proc/self/status", encoding="ascii") as told:
        (most,) = (int(line.split()[1]) for line in told if line.startswith("VmHWM"))
    return most / 1e3
