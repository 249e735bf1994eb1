"""A receiver of messages in a thread of this process."""

import socket
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from email.message import Message
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from itertools import takewhile


@dataclass
class Receiver:
    """What it answers, one after the other and the last for ever, and what it was sent."""

    answers: Sequence[int | bytes] = (204,)
    got: list[tuple[Message, bytes]] = field(default_factory=list)
    url: str = ""
    let_go: threading.Event = field(default_factory=threading.Event)

    def next_answer(self) -> int | bytes:
        return self.answers[min(len(self.got), len(self.answers)) - 1]


@contextmanager
def dripping(begins: bytes) -> Iterator[int]:
    """Listen on a free port and answer with a beginning, then with a byte now and then, for a second and a half.

    Yields:
        The port.
    """
    end, listening = threading.Event(), socket.create_server(("127.0.0.1", 0))

    def drip() -> None:
        with suppress(OSError):
            line, _address = listening.accept()
            with line:
                line.sendall(begins)
                for _byte in takewhile(lambda _byte: not end.wait(0.02), range(75)):
                    line.sendall(b"\x00")

    thread = threading.Thread(target=drip, daemon=True)
    thread.start()
    try:
        yield int(listening.getsockname()[1])
    finally:
        end.set()
        listening.close()


@contextmanager
def receiving(*answers: int | bytes) -> Iterator[Receiver]:
    """Receive on a free port; bytes are sent as they are, and then the line is held open."""
    receiver = Receiver(answers or (204,))

    class Answers(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            receiver.got.append((self.headers, self.rfile.read(int(self.headers["Content-Length"]))))
            answer = receiver.next_answer()
            if isinstance(answer, bytes):
                self.wfile.write(answer)
                receiver.let_go.wait(10)
                return
            self.send_response(answer)
            self.send_header("Location", receiver.url)
            self.end_headers()

        def log_message(self, *_parts: object) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Answers)
    server.daemon_threads = True
    receiver.url = f"http://127.0.0.1:{server.server_port}/told"
    threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01}, daemon=True).start()
    try:
        yield receiver
    finally:
        receiver.let_go.set()
        server.shutdown()
        server.server_close()
