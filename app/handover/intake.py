"""A photo on its way in: streamed to a passing file, within the limits on size and speed."""

import asyncio
import re
import unicodedata
from collections.abc import Callable
from pathlib import Path
from urllib.parse import unquote

from aiohttp import StreamReader, web

from app.handover.limits import Limits

NAMELESS = "Photo from the phone"
LONGEST_NAME = 80


class TooLargeError(Exception):
    """More bytes than a photo may have, whatever was announced."""


class TooSlowError(Exception):
    """The sender stalled, or sends so slowly that the place is better given to another."""


class BrokenOffError(Exception):
    """The connection ended before the photo did."""


async def receive(
    content: StreamReader, part: Path, limits: Limits, came: Callable[[], None], announced: int | None
) -> int:
    """Write what comes into the new file ``part``, calling ``came`` for every piece; its size in bytes.

    ``announced``: the length the sender gave, or None. Raises the errors of this module, and OSError from the disk;
    the caller clears ``part`` away.
    """
    clock = asyncio.get_running_loop().time
    began, size = clock(), 0
    with part.open("xb") as file:
        while piece := await _next_piece(content, limits.stall_s):
            came()
            size += len(piece)
            if size > limits.photo_bytes:
                raise TooLargeError
            file.write(piece)
            lasted = clock() - began
            if lasted > limits.grace_s and size < lasted * limits.least_bytes_per_s:
                raise TooSlowError
    if announced is not None and size != announced:
        raise BrokenOffError
    return size


async def _next_piece(content: StreamReader, stall_s: float) -> bytes:
    try:
        async with asyncio.timeout(stall_s):
            return await content.readany()
    except TimeoutError as error:
        raise TooSlowError from error
    except (ConnectionError, web.RequestPayloadError) as error:
        raise BrokenOffError from error


def plain_name(given: str) -> str:
    """The name a phone gave, percent-encoded, as it may be shown: never a path, at most 80 characters, one line.

    Control characters and those that turn the direction of writing are left out (Unicode categories C*).
    """
    name = re.split(r"[/\\]", unquote(given, errors="replace"))[-1]
    name = "".join(" " if sign.isspace() else sign for sign in name)
    name = "".join(sign for sign in name if not unicodedata.category(sign).startswith("C"))
    return " ".join(name.split()).lstrip(". ")[:LONGEST_NAME].strip() or NAMELESS
