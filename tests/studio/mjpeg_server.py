"""A network camera on the loopback: JPEG pictures one after another over HTTP, well or badly sent."""

import base64
import hashlib
import io
import re
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

NONCE = "0123456789abcdef"


def jpeg(codes: NDArray[np.uint8], quality: int = 95) -> bytes:
    held = io.BytesIO()
    Image.fromarray(codes).save(held, "JPEG", quality=quality, subsampling=0)
    return held.getvalue()


@dataclass
class Sending:
    """``pictures``: the bodies of the parts, each sent ``times``; ``pace_s`` between them. Then the stream ``then``
    ends, stalls until the server is closed, or breaks off in the middle of a part.

    ``told``: with each part's length. ``boundary, written``: as in the head, and as between the parts. ``password``:
    name:password that is asked for, ``by`` "basic" or "digest". ``status``, ``kind``: of the answer. ``moved``: to
    where the first path sends on.
    """

    pictures: Sequence[bytes]
    pace_s: float = 0.0
    times: int = 1
    then: str = "end"
    told: bool = True
    boundary: str = "frame"
    written: str = "--frame"
    password: str = ""
    by: str = "basic"
    status: int = 200
    kind: str = ""
    moved: str = ""
    sent: int = 0
    asked: list[str] = field(default_factory=list)
    over: threading.Event = field(default_factory=threading.Event)


@contextmanager
def serving(sending: Sending) -> Iterator[str]:
    """Gives the machine and port, as ``127.0.0.1:40000``; everything is closed and joined afterwards."""

    class Handler(_Handler):
        what = sending

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads, server.block_on_close = False, True
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01}, name="studio server")
    thread.start()
    try:
        yield f"127.0.0.1:{server.server_port}"
    finally:
        sending.over.set()
        server.shutdown()
        server.server_close()
        thread.join()


class _Handler(BaseHTTPRequestHandler):
    what: Sending

    def log_message(self, format: str, *args: Any) -> None:
        pass

    def do_GET(self) -> None:
        what = self.what
        what.asked.append(self.path)
        try:
            if what.moved and self.path != "/moved":
                return self._head(302, Location=what.moved)
            if what.password and not self._is_known():
                return self._head(401, **{"WWW-Authenticate": _challenge(what)})
            if what.status != 200:
                return self._head(what.status)
            self._head(200, **{"Content-Type": what.kind or f"multipart/x-mixed-replace; boundary={what.boundary}"})
            self._send_parts()
        except OSError:
            pass  # the other side has left

    def _head(self, status: int, **told: str) -> None:
        self.send_response(status)
        for name, text in told.items():
            self.send_header(name, text)
        if status != 200:
            self.send_header("Content-Length", "0")
        self.send_header("Connection", "close")
        self.end_headers()
        self.close_connection = True

    def _send_parts(self) -> None:
        what = self.what
        for picture in what.pictures:
            for _ in range(what.times):
                self.wfile.write(_part(what, picture))
                what.sent += 1
                if what.over.wait(what.pace_s):
                    return
        if what.then == "break":
            self.wfile.write(_part(what, what.pictures[0])[:-40])
        elif what.then == "stall":
            what.over.wait(20.0)
        else:
            self.wfile.write(f"{what.written}--\r\n".encode())

    def _is_known(self) -> bool:
        given = self.headers.get("Authorization", "")
        if self.what.by == "basic":
            return given == "Basic " + base64.b64encode(self.what.password.encode()).decode()
        told = dict(re.findall(r'(\w+)="?([^",]+)"?', given))
        user, _, password = self.what.password.partition(":")
        one, two = _md5(f"{user}:studio:{password}"), _md5(f"GET:{self.path}")
        wanted = _md5(f"{one}:{NONCE}:{told.get('nc')}:{told.get('cnonce')}:auth:{two}")
        return told.get("response") == wanted


def _part(what: Sending, picture: bytes) -> bytes:
    length = f"Content-Length: {len(picture)}\r\n" if what.told else ""
    return f"{what.written}\r\nContent-Type: image/jpeg\r\n{length}\r\n".encode() + picture + b"\r\n"


def _challenge(what: Sending) -> str:
    if what.by == "basic":
        return 'Basic realm="studio"'
    return f'Digest realm="studio", nonce="{NONCE}", qop="auth", algorithm=MD5'


def _md5(text: str) -> str:
    return hashlib.md5(text.encode(), usedforsecurity=False).hexdigest()
