"""Whoever takes too long, or too much at once, is hung up on; a disk without room is told."""

import asyncio
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from app.handover.server import NO_ROOM, TOO_MANY, TOO_SLOW

from .handover_case import HERE, SHORT, ask, head, in_loop, mark_of, phone, picture, send, serving, status_of


async def drip(writer: asyncio.StreamWriter, drops: list[bytes]) -> None:
    for drop in drops:
        await asyncio.sleep(0.05)
        writer.write(drop)
        await writer.drain()


async def shut(open_ones: list[Any]) -> None:
    for _, writer in open_ones:
        writer.close()
    for _, writer in open_ones:
        await writer.wait_closed()


@pytest.mark.parametrize(
    ("begin", "drop"), [("", b""), ("GET /", b"x"), ("GET /x HTTP/1.1\r\nHost: a\r\n", b"X: y\r\n")]
)
@in_loop
async def test_a_request_that_never_ends_is_hung_up_on(tmp_path: Path, begin: str, drop: bytes) -> None:
    async with serving(tmp_path) as place:
        reader, writer = await asyncio.open_connection(HERE, place.port)
        writer.write(begin.encode())
        ended = asyncio.create_task(reader.read())
        async with asyncio.timeout(5):
            while not ended.done():
                writer.write(drop)
                await asyncio.sleep(0.05)
        writer.close()
        assert ended.exception() is not None or ended.result() == b""
        with suppress(ConnectionError):
            await writer.wait_closed()


@in_loop
async def test_a_sender_that_stalls_is_hung_up_on(tmp_path: Path) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        told = await ask(place, head(place, 1, mark_of(client), "Content-Length: 20000") + "\xff")
        assert told.startswith("HTTP/1.1 408")
        assert told.endswith(TOO_SLOW)
        assert place.files == []


@in_loop
async def test_a_sender_that_drips_is_hung_up_on(tmp_path: Path) -> None:
    async with serving(tmp_path, replace(SHORT, stall_s=20, linger_s=0.7)) as place, phone(place) as client:
        start = head(place, 1, mark_of(client), "Content-Length: 20000")
        told = await ask(place, start, more=lambda writer: drip(writer, [b"\xff"] * 12))
        assert told.startswith("HTTP/1.1 408")
        assert told.endswith(TOO_SLOW)
        assert place.files == []


@in_loop
async def test_three_photos_at_once_and_no_more(tmp_path: Path) -> None:
    patient = replace(SHORT, stall_s=10, grace_s=10)
    async with serving(tmp_path, patient) as place, phone(place) as client:
        open_ones = [await asyncio.open_connection(HERE, place.port) for _ in range(3)]
        for number, (_, writer) in enumerate(open_ones):
            writer.write(head(place, number, mark_of(client), "Content-Length: 20000").encode())
        await place.until(lambda: len(place.files) == 3)
        async with client.put(place.photo_url(9), data=picture()) as answer:
            assert (answer.status, answer.headers["Retry-After"]) == (503, "2")
        await shut(open_ones)
        await place.until(lambda: not place.files)
        assert await send(client, place, 9, picture()) == (201, "")


@in_loop
async def test_so_many_connections_and_no_more(tmp_path: Path) -> None:
    patient = replace(SHORT, request_s=10)
    async with serving(tmp_path, patient) as place:
        open_ones = [await asyncio.open_connection(HERE, place.port) for _ in range(patient.connections)]
        assert await ask(place, f"GET /{place.entry.code} HTTP/1.1\r\nHost: {place.host}\r\n\r\n") == ""
        assert place.phones == []
        await shut(open_ones)
        await asyncio.sleep(0.05)
        assert (await status_of(place.url))[0] == 200


@in_loop
async def test_one_hand_over_takes_so_many_photos(tmp_path: Path) -> None:
    async with serving(tmp_path, replace(SHORT, photos=2)) as place, phone(place) as client:
        answers = [await send(client, place, number, picture(seed=number)) for number in range(3)]
        assert answers == [(201, ""), (201, ""), (429, TOO_MANY)]


@in_loop
async def test_a_full_disk_is_told(tmp_path: Path) -> None:
    async with serving(tmp_path, replace(SHORT, spare_bytes=10**18)) as place, phone(place) as client:
        assert await send(client, place, 1, picture()) == (507, NO_ROOM)


@in_loop
async def test_a_disk_that_fails_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: Any) -> None:
        raise OSError(28, "no space")

    async with serving(tmp_path) as place, phone(place) as client:
        monkeypatch.setattr(Path, "rename", fail)
        assert await send(client, place, 1, picture()) == (507, NO_ROOM)
        assert place.files == place.photos == []
