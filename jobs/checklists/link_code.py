"""The short code of a checklist: how it is made, written, read back and hashed; knows no row.

How hard it is to guess. A code is 8 signs of 29, 5.0e11 codes. The site takes `TRIES_AN_HOUR`
wrong ones an hour from everybody together, 216,000 in the 30 days that a code lives. With 1,000
codes alive somebody who uses every one of those tries for 30 days finds one of them with a
chance of 216,000 x 1,000 / 5.0e11, one in 2,300; from one network address, at `TRIES_OF_A_PLACE`
an hour, one in 69,000. What is found is one superintendent's list of open things, and each entry
by code is in the record.
"""

import secrets
import unicodedata
from ipaddress import IPv6Address, ip_address

from django.utils.crypto import salted_hmac

# No letter or figure that is taken for another one on paper: I, L, O, U and 0, 1, no B for 8.
SIGNS = "23456789ACDEFGHJKMNPQRSTVWXYZ"
SIGNS_IN_CODE = 8
CODE_DAYS = 30
TRIES_OF_A_PLACE = 10
TRIES_AN_HOUR = 300
_SALT = "baywright checklist code"


def code_make() -> str:
    """Return a new code without its dash, each sign drawn anew."""
    return "".join(secrets.choice(SIGNS) for _ in range(SIGNS_IN_CODE))


def code_text(code: str) -> str:
    """Return a code as it is printed: `ABCD-2345`."""
    half = SIGNS_IN_CODE // 2
    return f"{code[:half]}-{code[half:]}"


def code_read(typed: str) -> str:
    """Return a typed code without dashes and blanks, in capitals; any text gives some text."""
    plain = unicodedata.normalize("NFKC", typed).upper()
    return "".join(sign for sign in plain if sign.isalnum())


def code_hash(code: str) -> str:
    """Hash it keyed with the site's secret: who steals the table alone cannot try all codes."""
    return _keyed("code", code)


def place_hash(address: str) -> str:
    """Return a keyed hash of a network address; of IPv6 the /64, which is one household or site."""
    try:
        place = ip_address(address)
    except ValueError:
        return _keyed("place", "unknown")
    if isinstance(place, IPv6Address):
        place = place.ipv4_mapped or IPv6Address(int(place) >> 64 << 64)
    return _keyed("place", str(place))


def _keyed(kind: str, text: str) -> str:
    plain = text.encode("utf-8", "surrogatepass")
    return salted_hmac(f"{_SALT} {kind}", plain, algorithm="sha256").hexdigest()
