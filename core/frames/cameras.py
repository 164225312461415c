"""The cameras of this machine, by name as far as the system tells."""

import json
import subprocess
import sys
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

_LIMIT_S = 4.0
_NODE_LIMIT_S = 1.0
_QUERY, _QUERY_BYTES = 0x80685600, 104
"""VIDIOC_QUERYCAP and the size of its answer; linux/videodev2.h."""
_CAPTURE, _CAPTURE_PLANES, _OWN_SET = 0x1, 0x1000, 0x80000000
"""V4L2_CAP_VIDEO_CAPTURE, V4L2_CAP_VIDEO_CAPTURE_MPLANE, V4L2_CAP_DEVICE_CAPS; the same."""
_MAC = ("system_profiler", "SPCameraDataType", "-json")
_WINDOWS = (
    "powershell", "-NoProfile", "-NonInteractive", "-Command",
    "[Console]::OutputEncoding=[Text.Encoding]::UTF8; Get-CimInstance Win32_PnPEntity -Filter \"PNPClass='Camera' OR "
    "(PNPClass='Image' AND Service='usbvideo')\" | ForEach-Object { $_.Name }",
)  # fmt: skip


@dataclass(frozen=True)
class CameraPlace:
    """``index``: as the library counts. ``name``: as the painter knows it. ``path``: the system's own, where it has
    one."""

    index: int
    name: str
    path: str = ""


def run_command(command: Sequence[str]) -> str:
    """What a command of the system's prints. OSError when it fails or takes too long."""
    try:
        done = subprocess.run(
            list(command), capture_output=True, timeout=_LIMIT_S, check=True, stdin=subprocess.DEVNULL
        )
    except subprocess.SubprocessError as error:
        raise OSError(f"{command[0]} failed") from error
    return done.stdout.decode("utf-8", "replace")


def can_capture(path: str) -> bool | None:
    """Whether a Linux video node gives pictures; None where it does not tell within a second. It is not started."""
    import fcntl
    import os

    told: list[bool] = []

    def ask() -> None:
        try:
            node = os.open(path, os.O_RDWR | os.O_NONBLOCK | os.O_CLOEXEC)
        except OSError:
            return
        try:
            answer = bytearray(_QUERY_BYTES)
            fcntl.ioctl(node, _QUERY, answer, True)
            told.append(captures(bytes(answer)))
        except OSError:
            return
        finally:
            os.close(node)

    asking = threading.Thread(target=ask, name="camera node", daemon=True)
    asking.start()
    asking.join(_NODE_LIMIT_S)
    return told[0] if told else None


def captures(answer: bytes) -> bool:
    """Whether a node that answers VIDIOC_QUERYCAP so gives pictures: driver[16], card[32], bus_info[32], version,
    capabilities, device_caps, reserved[3]."""
    whole, own = (int.from_bytes(answer[at : at + 4], sys.byteorder) for at in (84, 88))
    return bool((own if whole & _OWN_SET else whole) & (_CAPTURE | _CAPTURE_PLANES))


@dataclass(frozen=True)
class System:
    """What is asked; tests give their own."""

    platform: str = sys.platform
    nodes: Path = Path("/sys/class/video4linux")
    devices: Path = Path("/dev")
    run: Callable[[Sequence[str]], str] = run_command
    can_capture: Callable[[str], bool | None] = can_capture


_HERE = System()


def cameras(system: System = _HERE) -> tuple[CameraPlace, ...]:
    """All that are plugged in; none is started. May take some seconds.

    Linux tells names and nodes for certain. macOS and Windows tell names, but not in which order the library counts
    its cameras (that it is the system's own is common experience, no source): where there are several, each is called
    by its number with “perhaps” and a name. Where the system tells nothing there is one “Camera 1” to be tried.
    """
    if system.platform.startswith("linux"):
        return _of_linux(system)
    try:
        names = _mac_names(system) if system.platform == "darwin" else _windows_names(system)
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return (CameraPlace(0, "Camera 1"),)
    if len(names) > 1:
        names = [f"Camera {k + 1}, perhaps {name}" for k, name in enumerate(names)]
    return tuple(CameraPlace(k, name) for k, name in enumerate(names))


def _of_linux(system: System) -> tuple[CameraPlace, ...]:
    found: list[CameraPlace] = []
    try:
        nodes = sorted(
            (int(each.name[5:]), each) for each in system.nodes.glob("video[0-9]*") if each.name[5:].isdigit()
        )
    except OSError:
        nodes = []
    for index, node in nodes:
        path = str(system.devices / node.name)
        gives = system.can_capture(path)
        # One camera has a node for pictures and others for what it notes of them: the first is its pictures'.
        if gives or (gives is None and _text(node / "index") in ("", "0")):
            found.append(CameraPlace(index, _text(node / "name") or f"Camera {len(found) + 1}", path))
    return _told_apart(found)


def _told_apart(places: list[CameraPlace]) -> tuple[CameraPlace, ...]:
    """Two of the same make are numbered."""
    names = [place.name for place in places]
    return tuple(
        replace(place, name=f"{place.name} ({names[: k + 1].count(place.name)})")
        if names.count(place.name) > 1
        else place
        for k, place in enumerate(places)
    )


def _text(path: Path) -> str:
    try:
        return " ".join(path.read_text("utf-8", "replace").split())[:80]
    except OSError:
        return ""


def _mac_names(system: System) -> list[str]:
    told = json.loads(system.run(_MAC))
    return [str(each["_name"]).strip() for each in told["SPCameraDataType"]]


def _windows_names(system: System) -> list[str]:
    return [line.strip() for line in system.run(_WINDOWS).splitlines() if line.strip()]
