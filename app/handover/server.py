"""The server of a hand-over: one page for one phone, and the photos that come from it.

There are two things to ask for, the page under its code and a photo under its number; whatever else is asked is refused
without a word about why. It listens on one address, and answers only to that address's own name, so that no page from
elsewhere can reach it by having its own name point here (DNS rebinding).
"""

import asyncio
import logging
import re
import shutil
import socket
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from aiohttp import web

from app.handover import intake
from app.handover.addresses import EVERYWHERE, host_words
from app.handover.exchange import Exchange
from app.handover.limits import Limits
from app.handover.page import SAFE, page
from app.handover.sniff import NoPhotoError, ending_of_photo
from app.handover.tokens import LENGTH, Pass
from core.errors import PainterError

_PAGE = re.compile(rf"/([A-Za-z0-9_-]{{{LENGTH}}})")
_SCHEME = "http"
_PHOTO = re.compile(r"/photo/([0-9a-f]{32})")

NOT_LET_IN = "This code is used up or too old. Ask for a new code on the computer, and scan that."
OTHER_PHONE = "The computer takes no photos from here any more. Ask for a new code there, and scan that."
TOO_MANY = "That is as many photos as one hand-over takes. Open it anew on the computer."
BUSY = "Several photos are on their way already. This one comes after them."
TOO_SLOW = "The photo came too slowly. Go nearer to the network's router."
BROKEN_OFF = "The photo did not come whole. Send it again."
PACKED = "The photo was sent packed, which is not taken here. Send it as it is."
NO_ROOM = "The computer's disk has no room for this photo."

_log = logging.getLogger("easelside.handover")


class Ending(Enum):
    """Why a hand-over that had opened was closed."""

    ASKED = "asked"
    IDLE = "idle"


@dataclass(frozen=True)
class Listening:
    """Where the server listens: ``address`` as bound, and ``host`` with its port as it stands in the address line.

    ``offered``: all addresses of this computer on local networks.
    """

    address: str
    host: str
    offered: tuple[str, ...] = ()

    def url(self, code: str) -> str:
        """The address of the page."""
        return f"{_SCHEME}://{self.host}/{code}"


@dataclass(frozen=True)
class Arrived:
    """A photo that came whole: its file, which is the caller's from now on, the phone's name for it, its bytes."""

    path: Path
    name: str
    size: int


@dataclass(frozen=True)
class Told:
    """Who is told what; all are called in the server's thread and must return at once."""

    opened: Callable[[Listening], None]
    phone: Callable[[], None]
    photo: Callable[[Arrived], None]


class Server:
    """Serves until it is stopped or nothing has come for a while. All of it runs in one event loop."""

    def __init__(
        self,
        folder: Path,
        address: str,
        entry: Pass,
        told: Told,
        *,
        offered: tuple[str, ...] = (),
        limits: Limits | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._parent, self._address, self._pass, self._told = folder, address, entry, told
        self._offered = offered
        self._limits = limits or Limits()
        self._clock = clock
        self._folder = folder
        self._hosts: tuple[str, ...] = ()
        self._cookie = ""
        self._under_way: dict[str, asyncio.Task[object]] = {}
        self._here: set[str] = set()
        self._active_at = 0.0

    async def serve(self, stopped: Callable[[], bool]) -> Ending:
        """Listen until ``stopped()`` or idle. Raises PainterError when the address or the folder cannot be used."""
        place = _bound(self._address)
        with place:
            self._know_hosts(place.getsockname()[1])
            self._folder = _session_folder(self._parent)
            exchange = Exchange(self._answer, self._limits)
            listener = await asyncio.get_running_loop().create_server(exchange, sock=place, backlog=8)
            try:
                self._active_at = self._clock()
                self._told.opened(Listening(self._address, self._hosts[0], self._offered))
                return await self._watch(stopped)
            finally:
                listener.close()
                await self._break_off()
                await exchange.shutdown(0.2)
                await asyncio.sleep(0)  # the connections' own farewells
                with suppress(OSError):
                    self._folder.rmdir()  # unless photos lie in it

    async def _watch(self, stopped: Callable[[], bool]) -> Ending:
        while not stopped():
            if not self._under_way and self._clock() - self._active_at >= self._limits.idle_s:
                return Ending.IDLE
            await asyncio.sleep(self._limits.tick_s)
        return Ending.ASKED

    async def _break_off(self) -> None:
        tasks = list(self._under_way.values())
        for task in tasks:
            task.cancel()
        if tasks:
            await asyncio.wait(tasks, timeout=1.0)

    def _know_hosts(self, port: int) -> None:
        addresses = (*self._offered, "127.0.0.1") if self._address == EVERYWHERE else (self._address,)
        self._hosts = tuple(f"{host_words(address)}:{port}" for address in addresses)
        self._cookie = f"easelside_{port}"  # cookies are shared by all ports of a computer (RFC 6265, 8.5)

    def _came(self) -> None:
        self._active_at = self._clock()

    async def _answer(self, request: web.BaseRequest) -> web.StreamResponse:
        if len(hosts := request.headers.getall("Host", [])) != 1 or hosts[0] not in self._hosts:
            return refusal(421)
        if match := _PAGE.fullmatch(request.raw_path):
            return self._show_page(request, match[1]) if request.method == "GET" else refusal(405, Allow="GET")
        if match := _PHOTO.fullmatch(request.raw_path):
            return await self._take(request, match[1]) if request.method == "PUT" else refusal(405, Allow="PUT")
        return refusal(404)

    def _show_page(self, request: web.BaseRequest, code: str) -> web.StreamResponse:
        if _is_looking_ahead(request):
            return refusal(403)
        was_spent = self._pass.is_spent
        phone = self._pass.come_in(code, request.cookies.get(self._cookie, ""))
        if phone is None:
            return refusal(403, NOT_LET_IN)
        self._came()
        shown = page(self._limits.photo_bytes, self._limits.megabytes)
        answer = web.Response(text=shown.text, content_type="text/html", headers=shown.headers)
        answer.set_cookie(self._cookie, phone, path="/", httponly=True, samesite="Strict")
        if not was_spent:
            self._told.phone()
        return answer

    async def _take(self, request: web.BaseRequest, number: str) -> web.StreamResponse:
        if not self._pass.knows(request.cookies.get(self._cookie, "")) or not self._is_own_page(request):
            return refusal(403, OTHER_PHONE)
        if (task := asyncio.current_task()) is None:
            raise RuntimeError("a request is answered in a task of its own")
        await self._give_way(number)
        if number in self._here:
            return _said(200)
        if (no := self._why_not(request, number)) is not None:
            return no
        self._under_way[number] = task
        try:
            return await self._let_in(request, number)
        finally:
            del self._under_way[number]

    async def _give_way(self, number: str) -> None:
        """A photo sent again takes the place of its earlier sending, whose connection the phone has lost."""
        if (earlier := self._under_way.get(number)) is not None:
            earlier.cancel()
            await asyncio.wait([earlier], timeout=1.0)

    def _is_own_page(self, request: web.BaseRequest) -> bool:
        """No page from elsewhere names itself. A browser may say "null" for ours, since it is to tell no referrer."""
        return request.headers.get("Origin", "null") in ("null", f"{_SCHEME}://{request.headers['Host']}")

    def _why_not(self, request: web.BaseRequest, number: str) -> web.StreamResponse | None:
        """The answer to a photo that is not even looked at, or None."""
        limits, announced = self._limits, request.content_length or 0
        if len(self._here) + len(self._under_way) >= limits.photos:
            return refusal(429, TOO_MANY)
        if number in self._under_way or len(self._under_way) >= limits.at_once:
            return refusal(503, BUSY, **{"Retry-After": "2"})
        if request.headers.get("Content-Encoding", "identity") != "identity":
            return refusal(415, PACKED)
        if announced > limits.photo_bytes:
            return refusal(413, f"This photo is larger than {limits.megabytes} MB.")
        if shutil.disk_usage(self._folder).free < announced + limits.spare_bytes:
            return refusal(507, NO_ROOM)
        return None

    async def _let_in(self, request: web.BaseRequest, number: str) -> web.StreamResponse:
        part = self._folder / f"{number}.part"
        try:
            size = await intake.receive(request.content, part, self._limits, self._came, request.content_length)
            path = self._folder / f"phone photo {len(self._here) + 1}{ending_of_photo(part)}"
            part.rename(path)
        except intake.TooLargeError:
            return refusal(413, f"This photo is larger than {self._limits.megabytes} MB.")
        except intake.TooSlowError:
            return refusal(408, TOO_SLOW)
        except intake.BrokenOffError:
            return refusal(400, BROKEN_OFF)
        except NoPhotoError as why:
            return refusal(415, str(why))
        except OSError:
            _log.exception("a photo could not be written")
            return refusal(507, NO_ROOM)
        finally:
            part.unlink(missing_ok=True)
        self._here.add(number)
        self._came()
        self._told.photo(Arrived(path, intake.plain_name(request.headers.get("X-Photo-Name", "")), size))
        return _said(201)


def refusal(status: int, sentence: str = "", **headers: str) -> web.Response:
    """An answer that says no, after which the connection is closed."""
    answer = web.Response(status=status, text=sentence, headers=SAFE | headers)
    answer.force_close()
    return answer


def _said(status: int) -> web.Response:
    return web.Response(status=status, headers=SAFE)


def _is_looking_ahead(request: web.BaseRequest) -> bool:
    """Whether a browser only fetches the page beforehand, which must not use the code up."""
    hints = " ".join(request.headers.get(name, "") for name in ("Sec-Purpose", "Purpose", "X-Moz"))
    return "prefetch" in hints or "preview" in hints


def _bound(address: str) -> socket.socket:
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    place = socket.socket(family, socket.SOCK_STREAM)
    try:
        place.bind((address, 0))
    except OSError as error:
        place.close()
        raise PainterError(
            f"The hand-over cannot listen on {address}. Check that this computer is on the network, and open it again."
        ) from error
    place.setblocking(False)
    return place


def _session_folder(parent: Path) -> Path:
    try:
        return Path(tempfile.mkdtemp(prefix="phone ", dir=parent))
    except OSError as error:
        raise PainterError(
            "The photos from the phone could not be laid down on this disk. Make room on it, or open the painting from "
            "another folder."
        ) from error
