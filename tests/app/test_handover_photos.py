"""Photos that a phone sends arrive whole, one after another or together, under names of our own."""

import asyncio
import base64
import hashlib
import re
from pathlib import Path

import pytest

from app.handover.intake import LONGEST_NAME, NAMELESS, plain_name
from app.handover.sniff import ending_of_photo

from .handover_case import SHORT, in_loop, mark_of, phone, picture, send, serving


@in_loop
async def test_a_photo_arrives_byte_for_byte(tmp_path: Path) -> None:
    data = picture()
    async with serving(tmp_path) as place, phone(place) as client:
        assert await send(client, place, 1, data, **{"X-Photo-Name": "Still%20life.jpg"}) == (201, "")
        (came,) = place.photos
        assert place.phones == [True]
    assert came.path.read_bytes() == data
    assert (came.name, came.size, came.path.name) == ("Still life.jpg", len(data), "phone photo 1.jpg")
    assert came.path.parent.parent == tmp_path


@in_loop
async def test_several_come_at_once(tmp_path: Path) -> None:
    sent = [picture(seed=seed) for seed in range(9)]
    async with serving(tmp_path) as place, phone(place) as client:
        for group in (range(3), range(3, 6), range(6, 9)):
            answers = await asyncio.gather(
                *(send(client, place, n, sent[n], **{"X-Photo-Name": f"{n}"}) for n in group)
            )
            assert [status for status, _ in answers] == [201] * 3
    assert {came.name: came.path.read_bytes() for came in place.photos} == {f"{n}": sent[n] for n in range(9)}
    assert len(place.files) == 9


@in_loop
async def test_a_photo_sent_again_is_kept_once(tmp_path: Path) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        assert await send(client, place, 7, picture()) == (201, "")
        assert await send(client, place, 7, picture()) == (200, "")
        assert len(place.photos) == len(place.files) == 1


@in_loop
async def test_a_phone_that_slept_sends_its_photo_anew_without_waiting_for_the_old_sending(tmp_path: Path) -> None:
    data = picture()
    async with serving(tmp_path) as place, phone(place) as client:
        reader, writer = await asyncio.open_connection("127.0.0.1", place.port)
        start = f"PUT /photo/{7:032x} HTTP/1.1\r\nHost: {place.host}\r\nCookie: {mark_of(client)}\r\n"
        writer.write(f"{start}Content-Length: {len(data)}\r\n\r\n".encode() + data[:100])
        await place.until(lambda: place.files)
        assert await send(client, place, 7, data) == (201, "")
        assert await reader.read() == b""
        writer.close()
        await writer.wait_closed()
    assert [path.read_bytes() for path in place.files] == [data]


@pytest.mark.parametrize(
    ("kind", "ending"),
    [("JPEG", ".jpg"), ("MPO", ".jpg"), ("PNG", ".png"), ("WEBP", ".webp"), ("TIFF", ".tif"), ("HEIC", ".heic")],
)
@in_loop
async def test_every_kind_that_the_ledge_reads_is_taken(tmp_path: Path, kind: str, ending: str) -> None:
    from core.photo import load_photo

    async with serving(tmp_path) as place, phone(place) as client:
        assert await send(client, place, 1, picture(kind)) == (201, "")
    assert place.photos[0].path.suffix == ending
    assert load_photo(place.photos[0].path).width == 160


@in_loop
async def test_the_same_phone_may_load_the_page_again(tmp_path: Path) -> None:
    async with serving(tmp_path) as place, phone(place) as client:
        mark = mark_of(client)
        async with client.get(place.url) as answer:
            assert answer.status == 200
        assert mark_of(client) == mark
        assert place.phones == [True]


@in_loop
async def test_the_page_is_safe_and_whole_in_itself(tmp_path: Path) -> None:
    async with serving(tmp_path) as place, phone() as client, client.get(place.url) as answer:
        text, headers, cookie = await answer.text(), answer.headers, answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert "Path=/" in cookie
    assert place.entry.code not in cookie + text
    policy = headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    for tag in ("script", "style"):
        (inside,) = re.findall(f"<{tag}>(.*?)</{tag}>", text, re.S)
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in policy
    assert headers["Cache-Control"] == "no-store"
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert headers["X-Frame-Options"] == "DENY"
    assert "aiohttp" not in headers["Server"]
    assert "Python" not in headers["Server"]
    assert not re.findall(r"https?:|\bsrc=|\bhref=|url\(|@import|/\*[A-Z]+\*/", text)
    assert f'data-limit="{SHORT.photo_bytes}"' in text


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("IMG_0001.HEIC", "IMG_0001.HEIC"),
        ("..%2F..%2Fetc%2Fpasswd", "passwd"),
        ("..\\..\\boot.ini", "boot.ini"),
        ("C:%5Cphotos%5Ca.jpg", "a.jpg"),
        ("a%0D%0AX-Evil:%201%00.jpg", "a X-Evil: 1.jpg"),
        ("%E2%80%AEgpj.exe", "gpj.exe"),
        ("...hidden", "hidden"),
        ("Stilleben%20mit%20%C3%84pfeln.jpg", "Stilleben mit Äpfeln.jpg"),
        ("%FF%FE", "\ufffd\ufffd"),
        ("", NAMELESS),
        ("..%2F", NAMELESS),
        ("x" * 300, "x" * LONGEST_NAME),
    ],
)
def test_a_name_from_a_phone_is_shown_but_never_a_path(given: str, kept: str) -> None:
    assert plain_name(given) == kept


@in_loop
async def test_a_name_that_climbs_lays_nothing_down_elsewhere(tmp_path: Path) -> None:
    inner = tmp_path / "inner"
    inner.mkdir()
    async with serving(inner) as place, phone(place) as client:
        assert await send(client, place, 1, picture(), **{"X-Photo-Name": "..%2F..%2Fevil.jpg"}) == (201, "")
    assert [path.parent.parent for path in tmp_path.rglob("*") if path.is_file()] == [inner]
    assert place.photos[0].name == "evil.jpg"


def test_the_ending_follows_the_contents(tmp_path: Path) -> None:
    (tmp_path / "lie.jpg").write_bytes(picture("PNG"))
    assert ending_of_photo(tmp_path / "lie.jpg") == ".png"
