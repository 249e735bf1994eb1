"""Which addresses may be told: nothing on the server's own networks, unless whoever keeps the site named them.

An address is resolved once and the connection goes to the very address that was judged, so that a name which answers
otherwise the second time leads nowhere else.
"""

import ipaddress
import queue
import socket
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias
from urllib.parse import SplitResult, urlsplit

from django.conf import settings

from inventory.rules.mistakes import Mistake
from inventory.rules.reading import quoted

Address: TypeAlias = ipaddress.IPv4Address | ipaddress.IPv6Address
PORTS = {"http": 80, "https": 443}
MORE_PORTS = (8080, 8443)
LONGEST = 500
RESOLVE_WITHIN = 5.0  # seconds


class AddressBarred(Mistake):
    """An address that is not to be told."""

    code = "address_barred"

    def __init__(self, url: str, why: str) -> None:
        super().__init__(f"{quoted(url[:80])} cannot be told: {why}", field="url")


class HostUnknown(AddressBarred):
    """An address whose host nobody knows now."""

    code = "host_unknown"


@dataclass(frozen=True)
class Target:
    """Where a message goes.

    Attributes:
        host: as it was named, for the Host header and the certificate.
        ip: where the connection goes.
        path: with its query.
    """

    is_tls: bool
    host: str
    ip: str
    port: int
    path: str


def read_url(url: str) -> SplitResult:
    """Read an address without resolving it.

    Raises:
        AddressBarred: it is of a form that is never told.
    """
    if len(url) > LONGEST or any(letter.isspace() or not letter.isprintable() for letter in url) or not url.isascii():
        raise AddressBarred(url, f"write a plain address of at most {LONGEST} letters, without blanks.")
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError:
        raise AddressBarred(url, "its host or port cannot be read. Write https://host/path.") from None
    if parts.scheme not in PORTS or not parts.hostname:
        raise AddressBarred(url, "write https://host/path, or http:// for a network of your own.")
    if "@" in parts.netloc:
        raise AddressBarred(url, "leave name and password out; messages are signed instead.")
    if port is not None and port not in (*PORTS.values(), *MORE_PORTS) and not _networks():
        raise AddressBarred(url, "its port is none of 80, 443, 8080 and 8443.")
    return parts


def target_of(url: str) -> Target:
    """Resolve an address and judge where it leads.

    Raises:
        AddressBarred: to a network that is not to be told, or nowhere.
    """
    parts = read_url(url)
    host, port = parts.hostname or "", parts.port or PORTS[parts.scheme]
    found = _resolved(url, host, port)
    barred = [ip for ip in found if not may_tell(ip)]
    if barred:
        raise AddressBarred(
            url, f"{barred[0]} is on a network of this server's own. Whoever keeps the site may name it in "
            "HILUM_WEBHOOK_NETWORKS.",
        )  # fmt: skip
    if parts.port not in (None, *PORTS.values(), *MORE_PORTS) and not _is_named(found[0]):
        raise AddressBarred(url, "its port is none of 80, 443, 8080 and 8443.")
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    return Target(parts.scheme == "https", host, str(found[0]), port, path)


def may_tell(ip: Address) -> bool:
    """Say whether a message may go to an address: it is public, or its network was named."""
    plain = _plain(ip)
    barred = plain.is_multicast or plain.is_reserved or any(plain in network for network in _LOCAL)
    return _is_named(plain) or (plain.is_global and not barred)


def _plain(ip: Address) -> Address:
    """Give the IPv4 address that one of IPv6 stands for: mapped, 6to4, Teredo and NAT64 lead to it all the same."""
    if isinstance(ip, ipaddress.IPv4Address):
        return ip
    if ip in _NAT64:
        return ipaddress.IPv4Address(int(ip) & 0xFFFFFFFF)
    return ip.ipv4_mapped or ip.sixtofour or (ip.teredo[1] if ip.teredo else None) or ip


_NAT64 = ipaddress.IPv6Network("64:ff9b::/96")  # RFC 6052
_LOCAL = (
    ipaddress.IPv6Network("64:ff9b:1::/48"),  # RFC 8215: an operator's own translation
    ipaddress.IPv6Network("fec0::/10"),  # RFC 3879: site-local, given up but still routed by some
)


def _is_named(ip: Address) -> bool:
    return any(ip.version == network.version and _plain(ip) in network for network in _networks())


def _networks() -> Sequence[ipaddress.IPv4Network | ipaddress.IPv6Network]:
    return tuple(settings.HILUM_WEBHOOK_NETWORKS)


def _resolved(url: str, host: str, port: int) -> list[Address]:
    found = _looked_up(host, port)
    if not found:
        raise HostUnknown(url, f"nobody knows the host {quoted(host[:60])} now.")
    return [ipaddress.ip_address(str(one[4][0]).partition("%")[0]) for one in found]


def _looked_up(host: str, port: int) -> list[tuple[Any, ...]]:
    """Ask what a name leads to; nothing where nobody knows, or where that takes too long.

    The system's own look-up knows no time limit, and whoever owns a name decides how slowly it is answered; so it is
    asked in a thread of its own, which is left behind then and ends when the system gives up.
    """
    answers: queue.SimpleQueue[list[tuple[Any, ...]]] = queue.SimpleQueue()

    def look_up() -> None:
        try:
            answers.put(list(socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)))
        except (OSError, UnicodeError):
            answers.put([])

    threading.Thread(target=look_up, daemon=True, name="looks up a host").start()
    try:
        return answers.get(timeout=RESOLVE_WITHIN)
    except queue.Empty:
        return []
