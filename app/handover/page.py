"""The page the phone is shown: one file, with its style and script inside and nothing from elsewhere."""

import base64
import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

_HERE = Path(__file__).resolve().parent

SAFE = {
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
    "Cache-Control": "no-store",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "Server": "Easelside",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}
"""What every answer carries."""


@dataclass(frozen=True)
class Page:
    """The page's text, and the headers under which a browser runs its one script and nothing else."""

    text: str
    headers: dict[str, str]


@cache
def page(limit: int, megabytes: str) -> Page:
    """The page for photos of at most ``limit`` bytes, told as so many ``megabytes``."""
    style, script = _read("page.css"), _read("page.js")
    text = _read("page.html").replace("/*LIMIT*/", str(limit)).replace("/*MEGABYTES*/", megabytes)
    text = text.replace("/*STYLE*/", style).replace("/*SCRIPT*/", script)
    policy = (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; connect-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    return Page(text, SAFE | {"Content-Security-Policy": policy})


def _read(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")


def _hash(source: str) -> str:
    """As in CSP Level 3, 2.3.1: what stands between the tags, as UTF-8."""
    return f"sha256-{base64.b64encode(hashlib.sha256(source.encode()).digest()).decode()}"
