"""Hostile texts in every field that pages show: shown as text, never as marks of the page."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.access_world import NAMES_OF, Yard
from tests.pages import Reply
from tests.people import Company, signed_in
from tests.test_access_matrix import ALLOWED, PLAIN_NAMES
from tests.trust.disk import Figure, figure
from tests.trust.hostile import HOSTILE, hostile_make, read

__all__ = ["figure"]
pytestmark = pytest.mark.django_db
ROLES = ("olive", "omar", "cleo", "")
QUERIES = ("", "?posted=1")
ADMIN = tuple(
    f"/admin/{model}/"
    for model in ("contractor/crew", "contractor/machine", "contractor/event", "contractor/user")
)


@pytest.fixture
def yard(company: Company) -> Yard:
    return hostile_make(company)


def pages_of(
    browser: Client, yard: Yard, queries: tuple[str, ...] = QUERIES
) -> list[tuple[str, Reply]]:
    """Every page that the person gets, with its address."""
    found = []
    for address in sorted(ALLOWED):
        names = NAMES_OF[address](yard) if address in NAMES_OF else PLAIN_NAMES.get(address, {})
        for query in queries:
            url = reverse(address, kwargs=names) + query
            found.append((url, browser.get(url)))
    return found + [(url, browser.get(url)) for url in ADMIN]


def faults_of(url: str, answer: Reply) -> list[str]:
    """What a page, or an answer in another form, makes of the texts."""
    faults = [f"{url}: header {name}" for name in answer.headers if "owned" in name.lower()]
    if "owned" in answer.cookies:
        faults.append(f"{url}: cookie")
    kind = answer.headers.get("Content-Type", "")
    if kind.startswith("text/html"):
        faults += [f"{url}: {mark}" for mark in read(answer.content.decode()).faults]
    elif answer.headers.get("X-Content-Type-Options") != "nosniff":
        faults.append(f"{url}: {kind} may be taken for a page")
    return faults


@pytest.mark.parametrize("role", ROLES)
def test_no_page_makes_marks_of_a_text(
    company: Company, yard: Yard, role: str, figure: Figure
) -> None:
    browser = signed_in(getattr(company, role)) if role else Client()
    pages = pages_of(browser, yard)
    faults = [fault for url, answer in pages for fault in faults_of(url, answer)]
    figure(f"pages as {role or 'nobody'}, faults", (len(pages), len(faults)))
    assert faults == []


def test_every_text_is_shown_somewhere_as_it_was_written(
    company: Company, yard: Yard, figure: Figure
) -> None:
    shown = ""
    for browser in (signed_in(company.omar), signed_in(company.cleo), Client()):
        for _, answer in pages_of(browser, yard, ("?posted=1",)):
            if answer.headers.get("Content-Type", "").startswith("text/html"):
                shown += "\n".join(read(answer.content.decode()).text)
    hidden = [name for name in HOSTILE if f"q{name}" not in shown and name != "superintendent"]
    figure("texts shown", len(HOSTILE) - len(hidden))
    assert hidden == []
    for part in (
        "{{ 7|add:7 }}{% now 'Y' %}",
        "<script>window.owned=1;alert(1)</script>",
        "\u202egnp.exe",
    ):
        assert part in shown


@pytest.mark.parametrize("text", list(HOSTILE.values()))
def test_the_reader_sees_each_text_where_it_is_not_escaped(text: str) -> None:
    framed = f'<p>{text}</p><input value="{text}">'
    assert read(framed).faults
