"""An address that is told of acts: take messages whose signature holds, each once, and answer at once.

    HILUM_WEBHOOK_SECRET=whsec_… python docs/programs/told_of_acts.py 8443

Adding the address (`POST /api/v1/webhooks`) shows its secret once. Ports 80, 443, 8080 and 8443 are told.
"""

import base64
import hmac
import json
import os
import sys
import time
from collections.abc import Mapping
from http.server import BaseHTTPRequestHandler, HTTPServer
from typing import Any

SECRET = os.environ.get("HILUM_WEBHOOK_SECRET", "")
MOST_SECONDS = 300  # an older message may be one that somebody kept and sends again
seen: set[str] = set()  # keep it where it outlives the program: a message may come twice


def is_ours(secret: str, headers: Mapping[str, str], body: bytes, now: float) -> bool:
    """Hold a message against the secret (Standard Webhooks 1.0): its key is what stands behind whsec_, in base64."""
    sent_at = headers.get("webhook-timestamp", "")
    if not sent_at.isdigit() or abs(now - int(sent_at)) > MOST_SECONDS:
        return False
    signed = f"{headers.get('webhook-id', '')}.{sent_at}.".encode() + body
    key = base64.b64decode(secret.removeprefix("whsec_"))
    ours = "v1," + base64.b64encode(hmac.digest(key, signed, "sha256")).decode()
    return any(hmac.compare_digest(ours, one) for one in headers.get("webhook-signature", "").split())


class Told(BaseHTTPRequestHandler):
    """Takes one message."""

    def do_POST(self) -> None:
        """Answer before the work is done: 204 for what is ours, also when it comes again."""
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        is_right = is_ours(SECRET, self.headers, body, time.time())
        self.send_response(204 if is_right else 401)
        self.end_headers()
        if is_right and self.headers["webhook-id"] not in seen:
            seen.add(self.headers["webhook-id"])
            work(json.loads(body))


def work(message: Mapping[str, Any]) -> None:
    """Do what is to be done: read the act at `data.read`; numbers that were left out are in /api/v1/changes too."""
    if message["type"] == "act":
        print(message["data"]["seq"], message["data"]["kind"], message["data"]["read"], flush=True)


if __name__ == "__main__":
    HTTPServer(("", int(sys.argv[1])), Told).serve_forever()
