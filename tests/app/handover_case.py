"""A hand-over served on this computer alone, and clients for it, good and bad."""

import asyncio
import functools
import io
import os
import sys
from collections.abc import AsyncIterator, Callable, Coroutine
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import aiohttp
import numpy as np
from PIL import Image

from app.handover.limits import Limits
from app.handover.server import Arrived, Ending, Listening, Server, Told
from app.handover.tokens import Pass

HERE = "127.0.0.1"
SHORT = Limits(
    photo_bytes=300_000,
    connections=12,
    request_s=0.4,
    linger_s=0.1,
    stall_s=0.4,
    grace_s=0.3,
    least_bytes_per_s=10_000,
    tick_s=0.01,
    spare_bytes=0,
)


def picture(kind: str = "JPEG", seed: int = 0, size: tuple[int, int] = (160, 120)) -> bytes:
    """A small picture that differs with ``seed``."""
    codes = np.random.default_rng(seed).integers(0, 256, (size[1], size[0], 3), dtype=np.uint8)
    kept = io.BytesIO()
    if kind == "HEIC":
        import pillow_heif

        pillow_heif.from_pillow(Image.fromarray(codes)).save(kept, quality=50)
    else:
        Image.fromarray(codes).save(kept, kind)
    return kept.getvalue()


class Clock:
    """Stands still until it is put forward."""

    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@dataclass
class Place:
    """A server under way, and what it told."""

    folder: Path
    entry: Pass
    clock: Clock
    listening: Listening | None = None
    photos: list[Arrived] = field(default_factory=list)
    phones: list[bool] = field(default_factory=list)
    ending: Ending | None = None
    stop: bool = False
    task: asyncio.Task[Ending] | None = None

    @property
    def host(self) -> str:
        assert self.listening is not None
        return self.listening.host

    @property
    def port(self) -> int:
        return int(self.host.rsplit(":", 1)[1])

    @property
    def url(self) -> str:
        assert self.listening is not None
        return self.listening.url(self.entry.code)

    @property
    def files(self) -> list[Path]:
        return [path for path in self.folder.rglob("*") if path.is_file()]

    def photo_url(self, number: int) -> str:
        return f"http://{self.host}/photo/{number:032x}"

    async def until(self, true: Callable[[], Any]) -> None:
        async with asyncio.timeout(10):
            while not true():
                await asyncio.sleep(0.005)


@asynccontextmanager
async def serving(folder: Path, limits: Limits = SHORT, address: str = HERE, **more: Any) -> AsyncIterator[Place]:
    clock = Clock()
    place = Place(folder, Pass(limits.code_s, clock), clock)
    told = Told(lambda at: setattr(place, "listening", at), lambda: place.phones.append(True), place.photos.append)
    server = Server(folder, address, place.entry, told, limits=limits, clock=clock, **more)
    task = place.task = asyncio.create_task(server.serve(lambda: place.stop))
    try:
        await place.until(lambda: place.listening is not None or task.done())
        yield place
    finally:
        place.stop = True
        place.ending = await task
        assert not list(folder.rglob("*.part"))
        with suppress(OSError):
            await asyncio.open_connection(HERE, place.port)
            raise AssertionError("it still listens")


@asynccontextmanager
async def phone(place: Place | None = None) -> AsyncIterator[aiohttp.ClientSession]:
    """A real HTTP client; of a ``place`` it has opened the page already."""
    async with aiohttp.ClientSession(cookie_jar=aiohttp.CookieJar(unsafe=True)) as client:
        if place is not None:
            async with client.get(place.url) as answer:
                assert answer.status == 200
        yield client


async def status_of(url: str, **headers: str) -> tuple[int, str]:
    """What a phone that was never here before is answered."""
    async with phone() as client, client.get(url, headers=headers) as answer:
        return answer.status, await answer.text()


async def send(client: aiohttp.ClientSession, place: Place, number: int, data: Any, **headers: str) -> tuple[int, str]:
    async with client.put(place.photo_url(number), data=data, headers=headers) as answer:
        return answer.status, await answer.text()


def mark_of(client: aiohttp.ClientSession) -> str:
    """The phone's cookie, as a header line sends it."""
    return "; ".join(f"{each.key}={each.value}" for each in client.cookie_jar)


async def ask(
    place: Place, raw: bytes | str, *, more: Callable[[asyncio.StreamWriter], Coroutine[Any, Any, None]] | None = None
) -> str:
    """Send bytes as they are; everything that came back until the server hung up."""
    reader, writer = await asyncio.open_connection(HERE, place.port)
    try:
        writer.write(raw.encode() if isinstance(raw, str) else raw)
        if more is not None:
            await more(writer)
        async with asyncio.timeout(10):
            return (await reader.read()).decode("latin-1")
    except ConnectionError:
        return ""
    finally:
        writer.close()
        with suppress(ConnectionError):
            await writer.wait_closed()


def head(place: Place, number: int, mark: str, *lines: str) -> str:
    """The head of a request that brings a photo."""
    told = "".join(f"{line}\r\n" for line in lines)
    return f"PUT /photo/{number:032x} HTTP/1.1\r\nHost: {place.host}\r\nCookie: {mark}\r\n{told}\r\n"


def in_loop(test: Callable[..., Coroutine[Any, Any, None]]) -> Callable[..., None]:
    """Run a test in an event loop of its own; no socket may be left."""

    @functools.wraps(test)
    def run(*arguments: Any, **options: Any) -> None:
        before = _sockets()
        asyncio.run(test(*arguments, **options))
        assert _sockets() <= before

    return run


def _sockets() -> int:
    if sys.platform != "linux":
        return 0
    count = 0
    for number in os.listdir("/proc/self/fd"):
        with suppress(OSError):
            count += os.readlink(f"/proc/self/fd/{number}").startswith("socket:")
    return count
