"""The address of a stream, taken apart. Passwords are never shown: a stream is named by its machine alone."""

from dataclasses import dataclass, field
from urllib.parse import unquote, urlsplit

from core.errors import CameraError

HTTP, RTSP = "http", "rtsp"
_PORTS = {HTTP: 80, RTSP: 554}
_LONGEST = 2000
_HOW = "Type it as the phone or the camera shows it, such as 192.168.1.20:8080/video."


@dataclass(frozen=True)
class StreamAddress:
    """``shown``: the machine, with its port where that was given. ``path`` with what it asks. ``user, password``:
    plain, empty when none was given."""

    scheme: str
    host: str
    port: int
    path: str = field(repr=False)
    shown: str
    user: str = field(default="", repr=False)
    password: str = field(default="", repr=False)
    whole: str = field(default="", repr=False)
    """As it is handed to a library, with its password."""

    @property
    def bare(self) -> str:
        """Without name and password."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"{self.scheme}://{host}:{self.port}{self.path}"


def stream_address(text: str) -> StreamAddress:
    """Taken apart; without a scheme it is one of pictures over HTTP. Raises CameraError, with nothing of the text in
    its sentence that could be a password."""
    given = text.strip()
    if not given:
        raise CameraError(f"There is no address. {_HOW}")
    if len(given) > _LONGEST or any(ord(c) <= 32 or ord(c) == 127 for c in given):
        raise CameraError(f"The address holds a space or is too long. {_HOW}")
    whole = given if "://" in given else f"{HTTP}://{given}"
    try:
        parts = urlsplit(whole)
        port = parts.port
    except ValueError:
        raise CameraError(f"That is not an address. {_HOW}") from None
    scheme = parts.scheme.lower()
    if scheme not in _PORTS:
        raise CameraError(
            f"Streams are read from addresses that begin with {HTTP} or {RTSP}. "
            "Choose one of these in the camera's own settings."
        )
    if not parts.hostname:
        raise CameraError(f"The address does not name a machine. {_HOW}")
    query = f"?{parts.query}" if parts.query else ""
    host = parts.hostname
    return StreamAddress(
        scheme,
        host,
        port or _PORTS[scheme],
        (parts.path or "/") + query,
        f"{host}:{port}" if port else host,
        unquote(parts.username or ""),
        unquote(parts.password or ""),
        whole,
    )
