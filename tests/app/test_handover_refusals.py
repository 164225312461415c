"""What the hand-over refuses: strangers, other requests, other files, photos that do not come whole."""

import asyncio
import gzip
import hmac
import io
import socket
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from app.handover import tokens
from app.handover.server import BROKEN_OFF, NOT_LET_IN, OTHER_PHONE, PACKED
from app.handover.sniff import CUT_SHORT, NO_PHOTO, RAW, TOO_FINE
from app.handover.tokens import LENGTH, Pass

from .handover_case import HERE, SHORT, Clock, ask, head, in_loop, mark_of, phone, picture, send, serving, status_of


@in_loop
async def test_a_wrong_code_opens_nothing(tmp_path: Path) -> None:
    async with serving(tmp_path) as place:
        wrong = place.url[:-1] + ("A" if place.url[-1] != "A" else "B")
        assert await status_of(wrong) == (403, NOT_LET_IN)
        assert place.phones == []
        assert (await status_of(place.url))[0] == 200


@in_loop
async def test_a_code_opens_one_phone_only(tmp_path: Path) -> None:
    async with serving(tmp_path) as place, phone(place) as first:
        assert await status_of(place.url) == (403, NOT_LET_IN)
        async with phone() as second:
            assert await send(second, place, 1, picture()) == (403, OTHER_PHONE)
        assert await send(first, place, 1, picture()) == (201, "")


@in_loop
async def test_an_old_code_opens_nothing(tmp_path: Path) -> None:
    async with serving(tmp_path) as place:
        place.clock.now += SHORT.code_s
        assert await status_of(place.url) == (403, NOT_LET_IN)
        place.entry.renew()
        assert (await status_of(place.url))[0] == 200


@in_loop
async def test_a_new_code_shuts_out_the_old_one_and_its_phone(tmp_path: Path) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        old = place.url
        place.entry.renew()
        async with client.get(old) as answer:
            assert answer.status == 403
        assert await send(client, place, 1, picture()) == (403, OTHER_PHONE)


def test_codes_are_long_random_and_compared_in_constant_time(monkeypatch: pytest.MonkeyPatch) -> None:
    compared: list[tuple[bytes, bytes]] = []

    def spy(one: bytes, other: bytes) -> bool:
        compared.append((one, other))
        return hmac.compare_digest(one, other)

    monkeypatch.setattr(tokens, "hmac", type("Spied", (), {"compare_digest": staticmethod(spy)}))
    entry, clock = Pass(10, Clock()), Clock()
    assert {len(Pass(10, clock).code) for _ in range(200)} == {LENGTH}
    assert len({Pass(10, clock).code for _ in range(200)}) == 200
    assert entry.come_in("wrong", "") is None
    assert not entry.knows("")
    mark = entry.come_in(entry.code, "")
    assert mark is not None
    assert mark != entry.code
    assert entry.knows(mark)
    assert not entry.knows(mark + "x")
    assert not entry.knows("\udcff")
    assert (b"wrong", entry.code.encode()) in compared


@in_loop
async def test_a_browser_that_looks_ahead_does_not_use_the_code_up(tmp_path: Path) -> None:
    async with serving(tmp_path) as place:
        assert await status_of(place.url, **{"Sec-Purpose": "prefetch;prerender"}) == (403, "")
        assert (await status_of(place.url))[0] == 200


@pytest.mark.parametrize(
    ("asked", "status"),
    [
        ("GET /", 404), ("GET /index.html", 404), ("GET /photo", 404), ("GET /favicon.ico", 404), ("PUT /", 404),
        ("OPTIONS *", 404), ("OPTIONS /", 404), ("HEAD /", 404), ("DELETE /anything", 404), ("PUT /evil.jpg", 404),
        ("HEAD CODE", 405), ("OPTIONS CODE", 405), ("POST CODE", 405), ("PUT CODE", 405), ("TRACE CODE", 405),
        ("GET PHOTO", 405), ("HEAD PHOTO", 405), ("POST PHOTO", 405), ("DELETE PHOTO", 405), ("OPTIONS PHOTO", 405),
        ("GET CODE?", 404), ("GET CODE/", 404), ("GET CODE/../CODE", 404), ("GET /../../etc/passwd", 404),
        ("GET /%2e%2e/%2e%2e/etc/passwd", 404), ("GET //etc/passwd", 404), ("GET /..%5c..%5cboot.ini", 404),
        ("PUT /photo/../../evil", 404), ("PUT /photo/..%2f..%2f..%2fevil", 404), ("PUT PHOTO/../evil", 404),
        ("PUT PHOTO%00", 404), ("GET http://elsewhere.example/", 404), ("CONNECT elsewhere.example:80", 404),
    ],
)  # fmt: skip
@in_loop
async def test_nothing_else_can_be_asked_for(tmp_path: Path, asked: str, status: int) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        what = asked.replace("CODE", f"/{place.entry.code}").replace("PHOTO", f"/photo/{1:032x}")
        told = await ask(place, f"{what} HTTP/1.1\r\nHost: {place.host}\r\nCookie: {mark_of(client)}\r\n\r\n")
        first, body = told.split("\r\n", 1)[0], told.partition("\r\n\r\n")[2]
        assert first.split()[1] == f"{status}"
        assert body == ""
        assert "default-src 'none'" in told
        assert place.files == []


@pytest.mark.parametrize(
    "lines",
    ["", "Host: elsewhere.example", "Host: elsewhere.example:PORT", "Host: localhost:PORT", "Host: 127.0.0.1",
     "Host: 127.0.0.1:PORT.elsewhere.example", "Host: 127.0.0.1:PORT\r\nHost: elsewhere.example", "Host: 0.0.0.0:PORT",
     "Host: [::1]:PORT", "Host:"],
)  # fmt: skip
@in_loop
async def test_it_answers_to_its_own_address_only(tmp_path: Path, lines: str) -> None:
    async with serving(tmp_path) as place:
        host = f"{lines.replace('PORT', str(place.port))}\r\n" if lines else ""
        told = await ask(place, f"GET /{place.entry.code} HTTP/1.1\r\n{host}\r\n")
        assert told.split()[1] in ("421", "400")
        assert told.partition("\r\n\r\n")[2] == ""
        assert place.phones == []


@in_loop
async def test_chosen_to_listen_everywhere_it_answers_to_each_address_offered(tmp_path: Path) -> None:
    offered = ("192.168.7.7", "fd00::7")
    async with serving(tmp_path, address="0.0.0.0", offered=offered) as place:
        assert place.host == f"192.168.7.7:{place.port}"
        for host, status in (("[fd00::7]", 200), ("10.0.0.1", 421), ("0.0.0.0", 421)):
            told = await ask(
                place, f"GET /{place.entry.code} HTTP/1.1\r\nHost: {host}:{place.port}\r\nConnection: close\r\n\r\n"
            )
            assert told.split()[1] == f"{status}"


@in_loop
async def test_an_ipv6_address_is_listened_on_alike(tmp_path: Path) -> None:
    try:
        with socket.socket(socket.AF_INET6) as own:
            own.bind(("::1", 0))
    except OSError:
        pytest.skip("this computer has no IPv6")
    async with serving(tmp_path, address="::1") as place, phone(place) as client:
        assert place.host == f"[::1]:{place.port}"
        assert await send(client, place, 1, picture(), Origin=f"http://{place.host}") == (201, "")


@in_loop
async def test_a_page_from_elsewhere_cannot_send(tmp_path: Path) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        assert (await send(client, place, 1, picture(), Origin="http://elsewhere.example"))[0] == 403
        assert (await send(client, place, 1, picture(), Origin=f"https://{place.host}"))[0] == 403
        assert (await send(client, place, 1, picture(), Origin=f"http://{place.host}"))[0] == 201


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", NO_PHOTO),
        (b"just words", NO_PHOTO),
        (b"<html><script>alert(1)</script></html>", NO_PHOTO),
        (b"GIF89a" + bytes(200), NO_PHOTO),
        (b"%PDF-1.7\n" + bytes(200), NO_PHOTO),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", NO_PHOTO),
        (b"\xff\xd8\xff" + bytes(3000), NO_PHOTO),
        (b"\0\0\0\x18ftypheic" + bytes(300), NO_PHOTO),
        (b"\0\0\0\x18ftypmp42" + bytes(300), NO_PHOTO),
        (picture()[:-3000], CUT_SHORT),
        (picture("PNG")[:-30], NO_PHOTO),
    ],
)
@in_loop
async def test_what_is_no_photo_is_refused_in_a_sentence(tmp_path: Path, data: bytes, sentence: str) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        assert await send(client, place, 1, data, **{"Content-Type": "image/jpeg"}) == (415, sentence)
        assert place.files == place.photos == []


@in_loop
async def test_more_pixels_than_could_be_opened_are_refused(tmp_path: Path) -> None:
    kept = io.BytesIO()
    Image.new("1", (9000, 9000)).save(kept, "PNG")
    async with serving(tmp_path) as place, phone(place) as client:
        assert await send(client, place, 1, kept.getvalue()) == (415, TOO_FINE)


@in_loop
async def test_a_moving_picture_is_refused_before_room_is_made_for_it(tmp_path: Path) -> None:
    kept = io.BytesIO()
    Image.new("RGB", (64, 64)).save(kept, "WEBP", save_all=True, append_images=[Image.new("RGB", (64, 64), "white")])
    moving = bytearray(kept.getvalue())
    assert moving[12:16] == b"VP8X"
    moving[24:30] = (16383).to_bytes(3, "little") * 2
    async with serving(tmp_path) as place, phone(place) as client:
        assert await send(client, place, 1, bytes(moving)) == (415, TOO_FINE)


@pytest.mark.parametrize("tags", [{50706: b"\x01\x04\x00\x00"}, {254: 1}])
@in_loop
async def test_a_cameras_raw_file_is_not_taken_for_its_preview(tmp_path: Path, tags: dict[int, Any]) -> None:
    kept = io.BytesIO()
    Image.new("RGB", (160, 120)).save(kept, "TIFF", tiffinfo=tags)
    async with serving(tmp_path) as place, phone(place) as client:
        assert await send(client, place, 1, kept.getvalue()) == (415, RAW)
        assert place.files == []


@in_loop
async def test_a_packed_photo_is_not_unpacked(tmp_path: Path) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        bomb = gzip.compress(bytes(10_000_000))
        assert await send(client, place, 1, bomb, **{"Content-Encoding": "gzip"}) == (415, PACKED)


@in_loop
async def test_too_large_a_photo_is_refused_before_it_comes(tmp_path: Path) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        told = await ask(place, head(place, 1, mark_of(client), f"Content-Length: {SHORT.photo_bytes + 1}"))
        assert told.startswith("HTTP/1.1 413")
        assert place.files == []


@in_loop
async def test_too_large_a_photo_of_unsaid_length_is_broken_off(tmp_path: Path) -> None:
    written = 0

    async def pieces() -> AsyncIterator[bytes]:
        nonlocal written
        for _ in range(8):
            written += 50_000
            yield bytes(50_000)

    async with serving(tmp_path) as place, phone(place) as client:
        assert (await send(client, place, 1, pieces()))[0] == 413
        assert place.files == []


@in_loop
async def test_a_photo_of_unsaid_length_within_the_limit_is_taken(tmp_path: Path) -> None:
    data = picture()

    async def pieces() -> AsyncIterator[bytes]:
        for at in range(0, len(data), 1000):
            yield data[at : at + 1000]

    async with serving(tmp_path) as place, phone(place) as client:
        assert await send(client, place, 1, pieces()) == (201, "")
        assert place.photos[0].path.read_bytes() == data


@pytest.mark.parametrize(
    ("lines", "body"),
    [
        (("Content-Length: 10", "Transfer-Encoding: chunked"), b"0\r\n\r\n"),
        (("Content-Length: 10", "Content-Length: 20"), bytes(20)),
        (("Content-Length: -1",), b""),
        (("Content-Length: 1e3",), b""),
        (("Transfer-Encoding: chunked",), b"ZZ\r\nnot a length\r\n"),
        (("Transfer-Encoding: chunked",), b"FFFFFFFFFFFFFFFFFFF\r\nlying\r\n"),
    ],
)
@in_loop
async def test_a_request_that_contradicts_itself_brings_nothing(
    tmp_path: Path, lines: tuple[str, ...], body: bytes
) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        told = await ask(place, head(place, 1, mark_of(client), *lines).encode() + body)
        assert told.split()[1] == "400"
        assert told.partition("\r\n\r\n")[2] in ("", BROKEN_OFF)
        assert place.files == place.photos == []


@pytest.mark.parametrize("lines", [("Content-Length: 20000",), ("Transfer-Encoding: chunked",)])
@in_loop
async def test_a_broken_connection_leaves_no_file(tmp_path: Path, lines: tuple[str, ...]) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        _, writer = await asyncio.open_connection(HERE, place.port)
        start = b"1000\r\n" if "chunked" in lines[0] else b""
        writer.write(head(place, 1, mark_of(client), *lines).encode() + start + picture()[:2000])
        await place.until(lambda: place.files)
        writer.transport.abort()
        await place.until(lambda: not place.files)
        assert place.photos == []
        assert await send(client, place, 1, picture()) == (201, "")


@pytest.mark.parametrize(
    "raw",
    [b"\x16\x03\x01\x02\0\x01\0\x01\xfc\x03\x03" + bytes(100), b"nonsense\r\n\r\n", b"GET\0/ HTTP/1.1\r\n\r\n",
     b"GET / HTTP/1.1\r\nHost: a\r\n" + b"X: y\r\n" * 200 + b"\r\n", b"GET /" + b"a" * 20000 + b" HTTP/1.1\r\n\r\n",
     b"GET / HTTP/1.1\r\nHost : <script>\r\n\r\n"],
)  # fmt: skip
@in_loop
async def test_nonsense_is_answered_without_detail(tmp_path: Path, raw: bytes) -> None:
    async with serving(tmp_path) as place:
        told = await ask(place, raw)
        assert told.split()[1] == "400"
        assert told.partition("\r\n\r\n")[2] == ""
        assert "aiohttp" not in told
        assert (await status_of(place.url))[0] == 200


@in_loop
async def test_it_listens_on_its_one_address_only(tmp_path: Path) -> None:
    async with serving(tmp_path) as place:
        for other in ("127.0.0.2", "::1"):
            family = socket.AF_INET6 if ":" in other else socket.AF_INET
            with socket.socket(family) as knock, pytest.raises(OSError, match=r"refused|unreachable|assign|not avail"):
                knock.connect((other, place.port))
