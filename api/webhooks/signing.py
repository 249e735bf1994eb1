"""Signatures of the Standard Webhooks form (specification 1.0): v1, HMAC-SHA256 over "id.timestamp.body"."""

import base64
import hashlib
import hmac
import secrets
from collections.abc import Sequence

BEGINS = "whsec_"
_BYTES = 32  # the specification asks for 24 to 64


def new_secret() -> str:
    """Make a secret."""
    return BEGINS + base64.b64encode(secrets.token_bytes(_BYTES)).decode()


def signature_of(secret: str, message_id: str, timestamp: int, body: str) -> str:
    """Sign a message.

    Args:
        secret: with its whsec_ at the beginning.
        timestamp: whole seconds since 1970.

    Returns:
        "v1," and the signature in base64.
    """
    key = base64.b64decode(secret.removeprefix(BEGINS))
    digest = hmac.new(key, f"{message_id}.{timestamp}.{body}".encode(), hashlib.sha256).digest()
    return "v1," + base64.b64encode(digest).decode()


def headers_of(secrets_now: Sequence[str], message_id: str, timestamp: int, body: str) -> dict[str, str]:
    """Write the headers that go with a message, with one signature for each secret that holds now."""
    return {
        "webhook-id": message_id,
        "webhook-timestamp": str(timestamp),
        "webhook-signature": " ".join(signature_of(secret, message_id, timestamp, body) for secret in secrets_now),
    }
