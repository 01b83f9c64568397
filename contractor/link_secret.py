"""The secret of a link and its hash; knows no row and not what the link opens."""

import hashlib
import secrets

SECRET_BYTES = 32  # 256 bits


def secret_make() -> str:
    """Return a new secret, fit for an address."""
    return secrets.token_urlsafe(SECRET_BYTES)


def secret_hash(secret: str) -> str:
    """Return the SHA-256 of a secret, in hex; any text has one, so no text takes another path."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()
