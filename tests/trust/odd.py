"""Odd values for query strings, forms, headers and addresses, drawn by a seeded chance."""

from random import Random
from urllib.parse import urlencode

VALUES = (
    "", " ", "abc", "-1", "0", "1", "2", "6", "7", "1e9", "1.5", "٣", "²", "NaN", "inf",
    "999999999999", "9" * 30, "9" * 5000, "-9223372036854775809", "0x10",
    "2027-W09", "2027-W99", "2027-W53", "2026-W53", "0000-W01", "9999-W52", "W", "2027-03-01",
    "0001-01-01", "9999-12-31", "2027-02-30", "2027-W09:0", "2027-W09:9,2027-W10:x",
    "null", "true", "[]", "{}", "a,b", "%", "%00", "\x00", "\r\nX-Odd: 1", "\ud800", "\u202e",
    "🏠" * 40, "' OR 1=1 --", "<script>alert(1)</script>", "{{ 7|add:7 }}", "../../etc/passwd",
    "attic_flat", "walls", "foam", "open", "draft", "posted", "done", "owed", "look", "another",
)  # fmt: skip
NAMES = (
    "weeks", "branch", "week", "crew", "machine", "page", "page_size", "posted", "job", "day",
    "q", "builder", "site", "ready", "state", "owed_by", "open", "house", "lang", "kind", "space",
    "version", "action", "step", "expected", "seconds", "condition", "to_state", "promised_for",
    "name", "note", "reason", "answer", "next", "language", "iso_year", "iso_week", "date",
    "ordering", "format", "limit", "offset", "kept_because", "latitude", "longitude", "area_ft2",
    "depth_in", "target_r", "material", "ready_date", "promised_date", "unit", "file",
)  # fmt: skip


def values_drawn(chance: Random, names: tuple[str, ...] = NAMES) -> list[tuple[str, str]]:
    """Draw one to four names with values; a name may come twice."""
    return [(chance.choice(names), chance.choice(VALUES)) for _ in range(chance.randint(1, 4))]


def query_drawn(chance: Random, names: tuple[str, ...] = NAMES) -> str:
    """Draw a query string, now and then one that is no proper query string at all."""
    if chance.random() < 0.05:
        return chance.choice(("&&&=", "=", "%zz=%", "a" * 3000, "weeks", "branch[]=1;x=2"))
    return urlencode(values_drawn(chance, names), errors="surrogatepass")
