"""Signatures, held against the reference library's."""

import base64

import pytest

from api.webhooks.signing import headers_of, new_secret, signature_of

# What the library standardwebhooks 1.1.0, by the authors of the specification, gives for these.
SECRET, ID, AT = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", "msg_p5jXN8AQM9LWM0D4loKWxJek", 1614265330
BODY = '{"test": 2432232314}'
SIGNED = "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="


@pytest.mark.outside("standardwebhooks 1.1.0, its signature of the same message")
def test_a_message_is_signed_as_the_reference_library_signs_it() -> None:
    assert signature_of(SECRET, ID, AT, BODY) == SIGNED


def test_while_two_secrets_hold_both_sign() -> None:
    headers = headers_of([new_secret(), SECRET], ID, AT, BODY)
    assert (headers["webhook-id"], headers["webhook-timestamp"]) == (ID, str(AT))
    assert headers["webhook-signature"].split(" ")[1] == SIGNED
    assert len(headers["webhook-signature"].split(" ")) == 2


@pytest.mark.outside("Standard Webhooks 1.0, 24 to 64 bytes of secret, from memory")
def test_a_secret_is_as_long_as_the_specification_asks() -> None:
    assert 24 <= len(base64.b64decode(new_secret().removeprefix("whsec_"))) <= 64
    assert new_secret() != new_secret()
