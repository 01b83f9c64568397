"""A link's secret that stands in a mail but in no table: made from a stored word and our key."""

import base64
import secrets

from django.utils.crypto import salted_hmac

SALT = "contractor.outbox.seal"
NONCE_BYTES = 32


def seal_make() -> str:
    """Return a new random word that stands in a stored mail in the secret's place."""
    return secrets.token_urlsafe(NONCE_BYTES)


def seal_open(seal: str) -> str:
    """Open the word to its secret: 256 bits, HMAC-SHA-256 (RFC 2104) under the site's secret key.

    Who reads the database without that key learns nothing of it; who tries again to send the same
    mail sends the same secret.
    """
    digest = salted_hmac(SALT, seal, algorithm="sha256").digest()
    return base64.urlsafe_b64encode(digest).rstrip(b"=").decode("ascii")


def seals_open(text: str, seals: list[str]) -> str:
    """Return the text with each of its sealed words replaced by the secret behind it."""
    for seal in seals:
        text = text.replace(seal, seal_open(seal))
    return text
