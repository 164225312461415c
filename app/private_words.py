"""What a report of a fault may say: where in the program it arose, never what the painter's files are called."""

import re
import sys
import sysconfig
import traceback
from collections.abc import Iterable
from pathlib import Path
from types import TracebackType

from core.errors import PainterError

LEFT_OUT = "…"
MOST_WORDS = 300
_ROOT = Path(__file__).resolve().parents[1]
_QUOTED = re.compile(r"""'[^'\n]*'|"[^"\n]*"|“[^”\n]*”|‘[^’\n]*’|«[^»\n]*»|`[^`\n]*`""")
_HALF_QUOTED = re.compile(r"""(['"“‘«`]).*""", re.DOTALL)
# A drive, a folder, or anything with a file's ending; with the blanks in it, up to a sign that ends a clause.
_PATH = re.compile(r"(?:[A-Za-z]:)?[^\s:;,()\[\]{}]*[\\/][^:;,()\[\]{}\n]*|[\w.-]+\.[A-Za-z]\w{1,5}\b|\bfile:\S*")
_MOST_CHAIN = 8
_MOST_READ = 4 * MOST_WORDS


def said_of(error: BaseException, private: Iterable[str] = ()) -> str:
    """Its kind and what it says, without the painter's words. What was meant for the painter, or quotes a file, is left
    out as a whole; of the system's refusals only the system's own words are kept."""
    kind = type(error).__name__
    if isinstance(error, PainterError | UnicodeError | SyntaxError):
        return kind
    if isinstance(error, OSError):
        return f"{kind} [{error.errno}] {error.strerror}" if isinstance(error.errno, int) else kind
    words = without_private(str(error), private)
    return f"{kind}: {words}" if words else kind


def without_private(text: str, private: Iterable[str] = ()) -> str:
    """``text`` without quotations, paths, file names and the words of ``private``; ``MOST_WORDS`` letters at most."""
    text = text[:_MOST_READ]
    text = _PATH.sub(LEFT_OUT, _HALF_QUOTED.sub(LEFT_OUT, _QUOTED.sub(LEFT_OUT, text)))
    for word in sorted({word for word in private if len(word.strip()) > 1}, key=len, reverse=True):
        text = re.sub(rf"(?<!\w){re.escape(word)}(?!\w)", LEFT_OUT, text, flags=re.IGNORECASE)
    return text[:MOST_WORDS].strip()


def trace_of(error: BaseException, trace: TracebackType | None, private: Iterable[str] = ()) -> str:
    """Where it arose, one line a step, causes first, each with its own words."""
    private = tuple(private)
    parts: list[str] = []
    seen: set[int] = set()
    following: BaseException | None = error
    while following is not None and id(following) not in seen and len(seen) < _MOST_CHAIN:
        seen.add(id(following))
        steps = traceback.extract_tb(trace if following is error and trace is not None else following.__traceback__)
        lines = [f"  {place_of(step.filename)}:{step.lineno} in {step.name}" for step in steps]
        parts.append("\n".join([*lines, said_of(following, private)]))
        following = following.__cause__ or (None if following.__suppress_context__ else following.__context__)
    return "\n  and from this:\n".join(reversed(parts))


def native_trace(text: str, private: Iterable[str] = ()) -> str:
    """faulthandler's own lines with every path made short, and nothing else in quotes."""
    lines = []
    for line in text.splitlines():
        step = re.match(r'  File "(.*)", line (\d+|\?\?\?) in (\S+)', line)
        if step:
            lines.append(f"  {place_of(step[1])}:{step[2]} in {step[3]}")
        elif line.strip():
            lines.append(without_private(line, private) if re.search(r"[\"'“]|\\", line) else line[:MOST_WORDS])
    return "\n".join(lines)


def place_of(file: str) -> str:
    """A source file as seen from the project, from the packages or from Python itself; others by no name."""
    path = Path(file)
    if not path.is_absolute():
        return path.as_posix() if path.parts[:1] in {("app",), ("core",), ("assets",)} else _frozen(file)
    folders = {"packages": sysconfig.get_path("purelib"), "packages ": sysconfig.get_path("platlib")}
    folders["python"] = sysconfig.get_path("stdlib")
    for name, folder in {**folders, "": str(_ROOT), "bundle": getattr(sys, "_MEIPASS", "")}.items():
        if folder and path.is_relative_to(folder):
            inside = path.relative_to(folder)
            if name or inside.parts[:1] in {("app",), ("core",), ("assets",)}:
                return (Path(name.strip()) / inside).as_posix()
    return LEFT_OUT


def _frozen(file: str) -> str:
    return file if re.fullmatch(r"<frozen [\w.]+>|<string>", file) else LEFT_OUT
