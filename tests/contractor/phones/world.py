"""What the tests of phones share: a link made just now, and browsers that open it."""

import re

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from contractor.models import Phone, User
from contractor.phones.services import phone_link_make
from tests.pages import Reply
from tests.people import ACTOR

ANDROID = (
    "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) "
    "Chrome/142.0.0.0 Mobile Safari/537.36"
)


def browser_make() -> Client:
    """A phone's browser that minds tokens as a real one is made to."""
    return Client(enforce_csrf_checks=True, headers={"User-Agent": ANDROID})


def secret_of(person: User) -> str:
    """The secret of a link made just now."""
    return phone_link_make(person=person, actor=ACTOR, now=timezone.now())[1]


def address_of(secret: str) -> str:
    """The address that a link is sent as."""
    return reverse("phone-link", args=[secret])


def seal_of(page: Reply) -> str:
    """The seal in a page's form."""
    found = re.search(r'name="seal" value="([0-9a-f]{64})"', page.content.decode())
    assert found, "the page has no form"
    return found[1]


def press(browser: Client, secret: str) -> Reply:
    """Open a link and press its button."""
    page = browser.get(address_of(secret))
    return browser.post(address_of(secret), {"seal": seal_of(page)})


def phone_in(browser: Client, person: User) -> Phone:
    """Sign a browser in as a person by a new link; the phone that it is now."""
    response = press(browser, secret_of(person))
    assert response.status_code == 302, response.status_code
    return Phone.objects.latest("pk")
