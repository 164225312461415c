"""Pictures that come one after another over HTTP, as phones and network cameras send them (multipart, JPEG).

The library's own reader reads these too, first frame in 2 ms on the loopback as this one's; but it says only that it
failed. Here a wrong address, a refused password and a page that is no stream are told apart, one connection is enough
(some phones allow no second), and a read that waits can be ended from another thread.
"""

import http.client
import socket
import ssl
import urllib.error
import urllib.request
from contextlib import suppress
from typing import IO, Any
from urllib.parse import urlsplit

import cv2
import numpy as np
from numpy.typing import NDArray

from core.errors import CameraError
from core.frames.address import StreamAddress
from core.frames.parts import Parts

_MOST_BAD = 8
"""Pictures in a row that cannot be read before the stream is given up."""
_LINK_LOST = "“{name}” has stopped sending. Check that it is switched on and in the network, then open it again."
_NOT_PICTURES = (
    "What “{name}” sends is not a stream of pictures. Look in the camera's settings for the address of its MJPEG or "
    "RTSP stream."
)


class _SameMachine(urllib.request.HTTPRedirectHandler):
    """Goes where it is sent on the same machine, and nowhere else."""

    def redirect_request(
        self,
        req: urllib.request.Request,
        fp: IO[bytes],
        code: int,
        msg: str,
        headers: http.client.HTTPMessage,
        newurl: str,
    ) -> urllib.request.Request | None:
        there, here = urlsplit(newurl), urlsplit(req.full_url)
        same = there.scheme == here.scheme and there.netloc == here.netloc
        return super().redirect_request(req, fp, code, msg, headers, newurl) if same else None


class HttpPictures:
    """A :class:`core.frames.newest.Grabber`. ``limit_s``: for each step of the connection. Raises CameraError."""

    def __init__(self, address: StreamAddress, limit_s: float) -> None:
        self._name = address.shown
        self._socket: socket.socket | None = None
        self._answer: Any = self._opened(address, limit_s)
        try:
            self._parts = Parts(self._answer, self._boundary())
        except CameraError:
            self.release()
            raise

    def grab(self) -> tuple[NDArray[np.uint8], int]:
        for passed in range(1, _MOST_BAD + 1):
            try:
                data = self._parts.next()
            except ValueError:
                raise CameraError(_NOT_PICTURES.format(name=self._name)) from None
            except (OSError, http.client.HTTPException):
                data = None
            if data is None:
                raise CameraError(_LINK_LOST.format(name=self._name))
            codes = _decoded(data)
            if codes is not None:
                return codes, passed
        raise CameraError(_NOT_PICTURES.format(name=self._name))

    def release(self) -> None:
        self.wake()
        with suppress(OSError):
            self._answer.close()

    def wake(self) -> None:
        held = self._socket
        if held is not None:
            with suppress(OSError):
                held.shutdown(socket.SHUT_RDWR)

    def _opened(self, address: StreamAddress, limit_s: float) -> Any:
        pictures = self
        earlier: list[http.client.HTTPResponse] = []

        class Connection(http.client.HTTPConnection):
            def connect(self) -> None:
                super().connect()
                pictures._socket = self.sock

        class Handler(urllib.request.HTTPHandler):
            def http_open(self, req: urllib.request.Request) -> http.client.HTTPResponse:
                # What asked for a password is not closed by the library when it asks anew.
                if earlier:
                    earlier.pop().close()
                answer = self.do_open(Connection, req)
                earlier.append(answer)
                return answer

        known = urllib.request.HTTPPasswordMgrWithDefaultRealm()
        if address.user or address.password:
            known.add_password(None, address.bare, address.user, address.password)
        opener = urllib.request.build_opener(
            Handler(),
            _SameMachine(),
            urllib.request.ProxyHandler({}),
            urllib.request.HTTPBasicAuthHandler(known),
            urllib.request.HTTPDigestAuthHandler(known),
        )
        try:
            opened = opener.open(address.bare, timeout=limit_s)
            earlier.clear()
            return opened
        except urllib.error.HTTPError as error:
            with error:
                raise CameraError(_why_refused(error.code, address)) from None
        except (OSError, http.client.HTTPException, ValueError) as error:
            reason = error.reason if isinstance(error, urllib.error.URLError) else error
            raise CameraError(why_no_link(reason, address.shown)) from None
        finally:
            for each in earlier:
                each.close()

    def _boundary(self) -> str:
        """What parts one picture from the next. Raises CameraError when the answer is not a stream of pictures."""
        kind = self._answer.headers.get_content_type()
        if kind == "image/jpeg":
            raise CameraError(
                f"“{self._name}” sends a single picture there, not a stream. Look in the camera's settings for the "
                "address of its stream."
            )
        boundary = self._answer.headers.get_param("boundary")
        if not kind.startswith("multipart/"):
            raise CameraError(_NOT_PICTURES.format(name=self._name))
        return str(boundary or "")


def why_no_link(reason: object, name: str) -> str:
    """A sentence: why the machine ``name`` could not be reached."""
    if isinstance(reason, socket.gaierror):
        return f"There is no machine “{name}” in the network. Check the address, and that both are in the same network."
    if isinstance(reason, ConnectionRefusedError):
        return f"“{name}” refuses the connection. Start the stream on the camera, and check the number after the colon."
    if isinstance(reason, TimeoutError):
        return f"“{name}” does not answer. Check the address, and that the camera is awake and in the same network."
    if isinstance(reason, (http.client.HTTPException, ssl.SSLError, ConnectionError)):
        return _NOT_PICTURES.format(name=name)
    return f"“{name}” cannot be reached. Check the address, and that both are in the same network."


def _why_refused(status: int, address: StreamAddress) -> str:
    name = address.shown
    if status in (401, 403) and (address.user or address.password):
        return f"“{name}” does not accept the name and password in the address. Correct them."
    if status in (401, 403):
        return f"“{name}” asks for a name and a password. Write name:password@ before the machine in the address."
    if status in (404, 410):
        return f"“{name}” has nothing at this address. Check what stands after the machine's name, such as /video."
    if status == 503:
        return f"“{name}” has no stream free now: another program may be watching. Close that, and try again."
    return f"“{name}” answers with an error ({status}). Start the stream on the camera anew, and try again."


def _decoded(data: bytes) -> NDArray[np.uint8] | None:
    if not data:
        return None
    codes = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR_RGB)
    if codes is None:
        return None
    picture: NDArray[np.uint8] = np.asarray(codes)
    picture.flags.writeable = False
    return picture
