"""A loader with every fault there is, to see that faults are seen."""

import ctypes


def look_amiss(name: str, data: bytes) -> tuple[str, str]:
    if data == b"crash":
        ctypes.string_at(0)
    while data == b"hang":
        pass
    if data == b"memory":
        try:
            bytearray(3_000_000_000)
        except MemoryError:
            return "fault", "no memory"
    return "loaded", name
