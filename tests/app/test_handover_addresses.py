"""The addresses that are offered to listen on, and the QR code that a phone reads."""

import socket

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from app.handover import addresses
from app.handover.addresses import host_words, is_local, local_addresses, may_listen, only_local
from app.handover.qr import QUIET, qr_modules


@pytest.mark.parametrize(
    ("address", "local"),
    [
        ("10.0.0.1", True), ("10.255.255.255", True), ("11.0.0.1", False), ("172.15.0.1", False), ("172.16.0.1", True),
        ("172.31.9.9", True), ("172.32.0.1", False), ("192.168.0.9", True), ("192.169.0.9", False),
        ("169.254.3.3", True), ("127.0.0.1", False), ("0.0.0.0", False), ("8.8.8.8", False), ("fd12::1", True),
        ("fe80::1%eth0", False), ("2001:db8::1", False), ("::1", False), ("", False), ("studio.local", False),
    ],
)  # fmt: skip
def test_only_private_networks_are_offered(address: str, local: bool) -> None:
    # RFC 1918 section 3, RFC 3927 section 2.1, RFC 4193 section 3.1
    assert is_local(address) is local


def test_each_is_offered_once_and_the_short_ones_first() -> None:
    found = ["fd00::2", "192.168.1.5", "8.8.8.8", "10.0.0.2", "192.168.1.5", "127.0.1.1"]
    assert only_local(found) == ("192.168.1.5", "10.0.0.2", "fd00::2")


def test_everywhere_is_listened_on_only_by_name() -> None:
    assert may_listen("0.0.0.0")
    assert may_listen("127.0.0.1")
    assert may_listen("192.168.1.5")
    for address in ("8.8.8.8", "::", "studio.local", "", "0.0.0.0:80"):
        assert not may_listen(address)


def test_ipv6_stands_in_brackets() -> None:
    assert host_words("fd00::2") == "[fd00::2]"
    assert host_words("10.0.0.2") == "10.0.0.2"


def test_the_addresses_found_are_this_computers() -> None:
    for address in local_addresses():
        family = socket.AF_INET6 if ":" in address else socket.AF_INET
        with socket.socket(family) as own:
            own.bind((address, 0))


def test_finding_them_sends_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def sent(*_: object) -> None:
        raise AssertionError("something was sent")

    class Quiet(socket.socket):
        send = sendto = sendall = sendmsg = sent

    monkeypatch.setattr(addresses.socket, "socket", Quiet)
    monkeypatch.setattr(addresses.socket, "getaddrinfo", lambda *_: [(2, 1, 6, "", ("192.168.9.9", 0))])
    assert "192.168.9.9" in local_addresses()


def test_no_network_at_all_offers_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: object) -> None:
        raise OSError

    for name in ("socket", "getaddrinfo", "if_nameindex"):
        monkeypatch.setattr(addresses.socket, name, none)
    assert local_addresses() == ()


def painted(modules: NDArray[np.bool_], scale: int) -> NDArray[np.uint8]:
    """As a window paints it: each module a square of ``scale`` pixels."""
    return np.kron(np.where(modules, 0, 255).astype(np.uint8), np.ones((scale, scale), np.uint8))


def read(modules: NDArray[np.bool_]) -> str:
    """What OpenCV's own reader makes of it, told where the code lies: in one of sixty flawless pictures it does not
    find the corners by itself."""
    first, last = QUIET * 4, (len(modules) - QUIET) * 4
    corners = np.array([[[first, first], [last, first], [last, last], [first, last]]], np.float32)
    return str(cv2.QRCodeDetector().decode(painted(modules, 4), corners)[0])


@settings(max_examples=12, deadline=None)
@given(st.binary(min_size=16, max_size=16), st.integers(1024, 65535), st.sampled_from(["192.168.178.21", "[fd00::2]"]))
def test_another_reader_reads_the_address(code: bytes, port: int, host: str) -> None:
    import base64

    url = f"http://{host}:{port}/{base64.urlsafe_b64encode(code).decode().rstrip('=')}"
    assert read(qr_modules(url)) == url


@pytest.mark.parametrize("scale", [4, 6, 10])
def test_another_reader_finds_the_code_by_itself(scale: int) -> None:
    url = "http://192.168.178.21:43127/kQ2mZ7b-Vw0_sT4xY8aLdg"
    assert cv2.QRCodeDetector().detectAndDecode(painted(qr_modules(url), scale))[0] == url


def test_the_quiet_zone_is_light() -> None:
    modules = qr_modules("http://10.0.0.2:4711/abc")
    assert modules.dtype == bool
    assert modules.shape[0] == modules.shape[1]
    inside = modules[QUIET:-QUIET, QUIET:-QUIET]
    assert modules.sum() == inside.sum()
    # The three corners begin with the finder pattern's edge of seven dark modules: ISO/IEC 18004:2015, 6.3.3.
    assert inside[0, :7].all()
    assert inside[:7, -1].all()
    assert inside[-1, :7].all()
