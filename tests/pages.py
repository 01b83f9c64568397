"""What tests of pages ask of an answer: its words, its weight, its policy; knows no page."""

import gzip
import html
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from django.contrib.staticfiles import finders
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

if TYPE_CHECKING:
    from django.test.client import _MonkeyPatchedWSGIResponse

    Reply = _MonkeyPatchedWSGIResponse
else:
    from django.http import HttpResponse

    Reply = HttpResponse

BLOCKS = (
    "h[1-6]|p|ul|ol|li|dl|dt|dd|table|thead|tbody|t[rdh]|caption|div|section|header|main|nav|form"
    "|fieldset|legend|label|button|select|option|details|summary"
)
HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>{{ 7|add:7 }}"


class Readable(Protocol):
    """What has the bytes of a page, or of a part of one."""

    @property
    def content(self) -> bytes: ...


def words(response: Readable) -> str:
    """What a person reads of a page: text without marks and data, spaces run together."""
    page = re.sub(r"<script .*?</script>", " ", response.content.decode(), flags=re.DOTALL)
    text = re.sub(r"<[^>]*>", " ", page)
    # An inline tag that ends before a comma makes no space for the eye.
    return re.sub(r" (?=[,:;.])", "", re.sub(r"\s+", " ", html.unescape(text)))


def marks(response: Readable) -> str:
    """The page with its marks, white space evened: where a template's line ends counts nowhere."""
    page = re.sub(r"\s+", " ", response.content.decode())
    page = re.sub(r" (?=/?>)", "", page)
    return re.sub(rf" ?(</?(?:{BLOCKS})\b[^>]*>) ?", r"\1", page)


class _Inline(HTMLParser):
    """Collects the tags and attributes that a content security policy refuses."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        is_data = ("type", "application/json") in attrs  # which no browser runs
        if tag == "style" or (tag == "script" and "src" not in names and not is_data):
            self.found.append(tag)
        self.found += [f"{tag} {n}" for n in names if n == "style" or n.startswith("on")]


def inline_faults(response: Reply) -> list[str]:
    """What the content security policy would refuse: styles and scripts within the page."""
    reader = _Inline()
    reader.feed(response.content.decode())
    return reader.found


def weight(response: Reply) -> int:
    """Bytes of the page and its stylesheets and scripts, each compressed as it is sent."""
    page = response.content.decode()
    files = re.findall(r'(?:href|src)="/?static/([^"]+)"', page)
    return _squeezed(response.content) + sum(_squeezed(_static(name)) for name in set(files))


def _static(name: str) -> bytes:
    path = finders.find(name)
    assert path, name
    return Path(path).read_bytes()


def _squeezed(content: bytes) -> int:
    return len(gzip.compress(content, 6))


@contextmanager
def statements() -> Iterator[Callable[[], int]]:
    """Count the statements that a page sends to the database."""
    with CaptureQueriesContext(connection) as seen:
        yield lambda: len(seen)


def status_by_role(company: Any, address: str) -> dict[str, int]:
    """The status that each person of the invented company gets at an address, and nobody."""
    names = ("olive", "omar", "esme", "cleo", "saul", "lena", "lars")
    found = {name: _get(company, name, address) for name in names}
    return {**found, "nobody": Client().get(address).status_code}


def _get(company: Any, name: str, address: str) -> int:
    client = Client()
    client.force_login(getattr(company, name), backend="django.contrib.auth.backends.ModelBackend")
    return client.get(address).status_code
