"""The parts of a stream of pictures (RFC 2046, section 5.1, multipart), read as loosely as cameras write them."""

from typing import BinaryIO

_LONGEST_PART = 64_000_000
_LONGEST_LINE = 4096
_MOST_LINES = 200


class Parts:
    """``boundary``: as the answer's head tells it; "" for any line of two dashes. Cameras differ in whether they count
    the dashes as part of it, and in telling each part's length."""

    def __init__(self, stream: BinaryIO, boundary: str) -> None:
        self._stream = stream
        self._name = boundary.strip('" ').lstrip("-").encode("latin-1", "replace")
        self._in_head = False

    def next(self) -> bytes | None:
        """The bytes of the next part, or None at the end of the stream. ValueError for what has no parts; OSError."""
        length = self._length()
        if length is None:
            return None
        self._in_head = False
        if length < 0:
            return self._until_boundary()
        data = self._stream.read(length)
        return data if len(data) == length else None

    def _length(self) -> int | None:
        """What the head of the next part tells; -1 where it tells nothing, None at the end of the stream."""
        length = -1
        for _ in range(_MOST_LINES):
            line = self._stream.readline(_LONGEST_LINE)
            if not line:
                return None
            if self._is_boundary(line):
                if self._name and line.rstrip().endswith(self._name + b"--"):
                    return None
                self._in_head, length = True, -1
            elif self._in_head and not line.strip():
                return length
            elif self._in_head and line.lower().startswith(b"content-length:"):
                length = int(line.partition(b":")[2])
                if not 0 <= length <= _LONGEST_PART:
                    raise ValueError(f"a part of {length} bytes")
        raise ValueError("no parts")

    def _until_boundary(self) -> bytes | None:
        held = bytearray()
        whole_line = True
        while len(held) <= _LONGEST_PART:
            line = self._stream.readline(_LONGEST_LINE)
            if not line:
                return None
            if whole_line and self._is_boundary(line):
                self._in_head = True
                return bytes(held)
            held += line
            whole_line = line.endswith(b"\n")
        raise ValueError("too long a part")

    def _is_boundary(self, line: bytes) -> bool:
        return line.startswith(b"--") and line.lstrip(b"-").startswith(self._name)
