"""The addresses of this computer on local networks, found without sending anything.

Three ways, each of which misses some, so all are asked: which address a datagram to a network would leave from (asked
of the routing table by connecting a UDP socket, which sends nothing), the addresses of the computer's own name, and on
Linux those of each network card. On a machine with one cable the first alone finds it; with a cable and a wireless
network it finds only the one that leads out.
"""

import ipaddress
import socket
import struct
import sys
from collections.abc import Iterable
from contextlib import suppress

EVERYWHERE = "0.0.0.0"
"""Listening on every network the computer is on: only when the painter chooses it."""

# Nobody is there: documentation networks (RFC 5737, RFC 3849), then a place in each private one (RFC 1918, RFC 4193).
_FAR = ("192.0.2.1", "192.168.255.254", "10.255.255.254", "172.31.255.254")
_FAR_6 = ("2001:db8::1", "fd00::1")
# RFC 1918, RFC 3927 and RFC 4193. IPv6 link-local addresses need a zone, which a browser's address line cannot hold.
_LOCAL = tuple(
    map(ipaddress.ip_network, ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "fc00::/7"))
)
_SIOCGIFADDR = 0x8915  # Linux, <linux/sockios.h>


def local_addresses() -> tuple[str, ...]:
    """Addresses to offer, the one that leads to the router first; none when the computer is on no local network."""
    found = [*_leaving_from(socket.AF_INET, _FAR), *_by_card(), *_by_name(), *_leaving_from(socket.AF_INET6, _FAR_6)]
    return only_local(found)


def only_local(addresses: Iterable[str]) -> tuple[str, ...]:
    """Those that belong to a private network, each once, in their order; IPv4, which is shorter to read, first."""
    kept = [address for address in dict.fromkeys(addresses) if is_local(address)]
    return tuple(sorted(kept, key=lambda address: ":" in address))


def is_local(address: str) -> bool:
    """Whether it is the address of a computer on a private network."""
    try:
        known = ipaddress.ip_address(address)
    except ValueError:
        return False
    return any(known in network for network in _LOCAL if network.version == known.version)


def may_listen(address: str) -> bool:
    """Whether a hand-over may be opened there: a private network, this computer alone, or everywhere if so chosen."""
    with suppress(ValueError):
        return address == EVERYWHERE or is_local(address) or ipaddress.ip_address(address).is_loopback
    return False


def host_words(address: str) -> str:
    """As it stands in an address line: IPv6 in brackets (RFC 3986, 3.2.2)."""
    return f"[{address}]" if ":" in address else address


def _leaving_from(family: socket.AddressFamily, far: Iterable[str]) -> list[str]:
    found = []
    for address in far:
        with suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as ask:
            ask.connect((address, 9))
            found.append(str(ask.getsockname()[0]))
    return found


def _by_name() -> list[str]:
    with suppress(OSError, UnicodeError):
        return [str(answer[4][0]) for answer in socket.getaddrinfo(socket.gethostname(), None)]
    return []


def _by_card() -> list[str]:
    """The IPv4 address of each network card; [] on other systems than Linux."""
    if sys.platform != "linux":
        return []
    import fcntl

    found = []
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as ask:
        for _, card in socket.if_nameindex():
            with suppress(OSError):
                answer = fcntl.ioctl(ask, _SIOCGIFADDR, struct.pack("256s", card.encode()[:15]))
                found.append(socket.inet_ntoa(answer[20:24]))
    return found
