"""Phones of crew leads: links of the office that sign them in, and what becomes of them."""

from contractor.phones.services import (
    PhoneRefused,
    phone_link_make,
    phone_link_revoke,
    phone_report,
    phone_revoke,
    phone_seen,
    phone_sign_in,
)

__all__ = [
    "PhoneRefused",
    "phone_link_make",
    "phone_link_revoke",
    "phone_report",
    "phone_revoke",
    "phone_seen",
    "phone_sign_in",
]
