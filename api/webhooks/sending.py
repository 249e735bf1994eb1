"""Send one message to an address that was judged: no redirects, little time, little read.

The standard library's client is enough, since all that is wanted of it is one POST over a socket that leads to the
address that was judged. Clients with pools, redirects and proxies from the environment would have to be kept from them.
"""

import http.client
import socket
import ssl
import time
from collections.abc import Mapping
from dataclasses import dataclass

from api.webhooks.guarding import PORTS, Target

CONNECT_WITHIN = 5.0  # seconds
ANSWER_WITHIN = 15.0  # seconds for all of it, however slowly it drips
MOST_READ = 64 * 1024  # bytes of an answer; the rest is not read


@dataclass(frozen=True)
class Answer:
    """What came of a message: a status, or None and why."""

    status: int | None
    says: str

    @property
    def is_taken(self) -> bool:
        """The address has it."""
        return self.status is not None and 200 <= self.status < 300


class _Pinned(http.client.HTTPConnection):
    """A connection to the address that was judged, whatever its name would lead to now."""

    def __init__(self, target: Target, end: float) -> None:
        super().__init__(target.host, target.port, timeout=CONNECT_WITHIN)
        self._target, self._end = target, end
        self.default_port = PORTS["https" if target.is_tls else "http"]  # named in the Host header where it is another

    def connect(self) -> None:
        """Connect, and shake hands under the name that was asked for."""
        within = min(CONNECT_WITHIN, _left(self._end))
        plain = socket.create_connection((self._target.ip, self._target.port), timeout=within)
        plain.settimeout(min(CONNECT_WITHIN, _left(self._end)))  # for the whole handshake, not for each of its bytes
        if self._target.is_tls:
            plain = ssl.create_default_context().wrap_socket(plain, server_hostname=self._target.host)
        self.sock = _Watched(plain, self._end)  # used as a socket is


class _Watched:
    """A socket that is given no more time than is left of the whole."""

    def __init__(self, plain: socket.socket, end: float) -> None:
        self._plain, self._end = plain, end

    def sendall(self, data: bytes) -> None:
        """Send within the time that is left."""
        self._plain.settimeout(_left(self._end))
        self._plain.sendall(data)

    def makefile(self, _mode: str) -> "_Reader":
        """Give what answers are read from."""
        return _Reader(self._plain, self._end)

    def close(self) -> None:
        """Close it."""
        self._plain.close()


class _Reader:
    """Reads lines and bytes of an answer: never more than is wanted, never longer than is left."""

    def __init__(self, plain: socket.socket, end: float) -> None:
        self._plain, self._end, self._kept, self._read, self.closed = plain, end, b"", 0, False

    def readline(self, most: int = -1) -> bytes:
        """Read to the end of a line."""
        while b"\n" not in self._kept and (most < 0 or len(self._kept) < most) and self._more():
            pass
        end = self._kept.find(b"\n") + 1 or len(self._kept)
        return self._take(end if most < 0 else min(end, most))

    def read(self, most: int = -1) -> bytes:
        """Read so many bytes, or to the end."""
        while (most < 0 or len(self._kept) < most) and self._more():
            pass
        return self._take(len(self._kept) if most < 0 else most)

    def flush(self) -> None:
        """Nothing is kept back."""

    def close(self) -> None:
        """The connection closes the socket."""
        self.closed = True

    def _more(self) -> bool:
        if self._read >= MOST_READ:
            return False
        self._plain.settimeout(_left(self._end))
        got = self._plain.recv(min(8192, MOST_READ - self._read))
        self._kept, self._read = self._kept + got, self._read + len(got)
        return bool(got)

    def _take(self, count: int) -> bytes:
        taken, self._kept = self._kept[:count], self._kept[count:]
        return taken


def send(target: Target, body: str, headers: Mapping[str, str]) -> Answer:
    """Send a message and read what is answered; it never raises for what the other side does."""
    connection = _Pinned(target, time.monotonic() + ANSWER_WITHIN)
    more = {"Content-Type": "application/json", "User-Agent": "Hilum", "Connection": "close", **headers}
    try:
        connection.request("POST", target.path, body.encode(), more)
        status = connection.getresponse().status
    except TimeoutError:
        return Answer(None, f"It did not answer within {ANSWER_WITHIN:.0f} seconds.")
    except ssl.SSLError as error:
        return Answer(None, f"Its certificate was not accepted ({error.reason or 'no reason given'}).")
    except (OSError, http.client.HTTPException, ValueError) as error:
        return Answer(None, f"It could not be reached or its answer could not be read ({type(error).__name__}).")
    finally:
        connection.close()
    return Answer(status, _says(status))


def _says(status: int) -> str:
    if 200 <= status < 300:
        return "It was taken."
    if 300 <= status < 400:
        return f"It answered {status}, a way to another address, which is not followed. Give that address itself."
    if status == 410:
        return "It answered 410: it wants no more messages."
    return f"It answered {status}."


def _left(end: float) -> float:
    left = end - time.monotonic()
    if left <= 0:
        raise TimeoutError
    return left
