"""The hand-over closes by itself when nothing comes, and at once when asked, whatever is on its way."""

import asyncio
from dataclasses import replace
from pathlib import Path

import pytest

from app.handover.server import Ending
from app.handover.tokens import Pass
from core.errors import PainterError

from .handover_case import HERE, SHORT, head, in_loop, mark_of, phone, picture, send, serving

PATIENT = replace(SHORT, stall_s=10, grace_s=10)


@in_loop
async def test_ten_idle_minutes_close_it(tmp_path: Path) -> None:
    async with serving(tmp_path) as place:
        assert place.task is not None
        place.clock.now += 599
        await asyncio.sleep(0.05)
        assert not place.task.done()
        place.clock.now += 1
        await place.until(place.task.done)
    assert place.ending is Ending.IDLE
    assert list(tmp_path.iterdir()) == []


@in_loop
async def test_each_photo_begins_the_ten_minutes_anew(tmp_path: Path) -> None:
    async with serving(tmp_path) as place:
        assert place.task is not None
        async with phone(place) as client:
            for number in range(3):
                place.clock.now += 500
                assert await send(client, place, number, picture()) == (201, "")
        await asyncio.sleep(0.05)
        assert not place.task.done()
    assert place.ending is Ending.ASKED


@in_loop
async def test_strangers_do_not_keep_it_open(tmp_path: Path) -> None:
    async with serving(tmp_path) as place, phone() as client:
        assert place.task is not None
        place.clock.now += 599
        for path in ("", "A" * 22, f"photo/{1:032x}"):
            async with client.get(f"http://{place.host}/{path}") as answer:
                assert answer.status in (403, 404, 405)
        place.clock.now += 1
        await place.until(place.task.done)


@in_loop
async def test_it_does_not_close_on_a_photo_that_is_coming(tmp_path: Path) -> None:
    data = picture()
    async with serving(tmp_path, PATIENT) as place, phone(place) as client:
        assert place.task is not None
        reader, writer = await asyncio.open_connection(HERE, place.port)
        writer.write(head(place, 1, mark_of(client), f"Content-Length: {len(data)}").encode() + data[:-500])
        await place.until(lambda: place.files)
        place.clock.now += 700
        await asyncio.sleep(0.05)
        assert not place.task.done()
        writer.write(data[-500:])
        assert (await reader.readline()).split()[1] == b"201"
        writer.close()
        await writer.wait_closed()


@in_loop
async def test_closing_breaks_off_what_is_coming_and_leaves_nothing(tmp_path: Path) -> None:
    async with serving(tmp_path, PATIENT) as place, phone(place) as client:
        assert place.task is not None
        reader, writer = await asyncio.open_connection(HERE, place.port)
        writer.write(head(place, 1, mark_of(client), "Content-Length: 20000").encode() + picture()[:1000])
        await place.until(lambda: place.files)
        place.stop = True
        async with asyncio.timeout(3):
            await place.task
            assert await reader.read() == b""
        writer.close()
        await writer.wait_closed()
    assert place.photos == []
    assert list(tmp_path.iterdir()) == []


@in_loop
async def test_photos_that_came_outlive_it(tmp_path: Path) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        await send(client, place, 1, picture())
    assert place.photos[0].path.read_bytes() == picture()


@in_loop
async def test_an_address_of_another_computer_is_told(tmp_path: Path) -> None:
    with pytest.raises(PainterError, match=r"cannot listen on 203\.0\.113\.9"):
        async with serving(tmp_path, address="203.0.113.9"):
            pass


@in_loop
async def test_a_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(PainterError, match="laid down"):
        async with serving(tmp_path / "gone"):
            pass


def test_a_code_outlives_no_clock() -> None:
    now = [0.0]
    entry = Pass(10, lambda: now[0])
    now[0] = 9.9
    mark = entry.come_in(entry.code, "")
    now[0] = 1000.0
    assert mark is not None
    assert entry.knows(mark)  # the phone is in: only the code grows old
    assert entry.come_in(entry.code, mark) == mark
    entry.renew()
    assert not entry.knows(mark)
    now[0] = 1010.0
    assert entry.come_in(entry.code, "") is None
