"""Role by address by whose thing by method: every address of the site, taken from its resolver.

An address without an entry here fails the test. "Not yours" must look like "not there".
"""

import re
from dataclasses import dataclass

import pytest
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.access_world import NAMES_OF, Yard, missing_names, yard_make
from tests.people import Company, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("thursday_morning")]

ROLES = ("owner", "office", "office elsewhere", "estimator", "lead", "lead elsewhere", "nobody")
OFFICE = {"owner", "office", "office elsewhere"}
DESK = OFFICE | {"estimator"}
CREWS = DESK | {"lead", "lead elsewhere"}
SIGNED_IN = CREWS
EVERYBODY = {*ROLES}

# Who may call an address at all, whatever it is about.
ALLOWED: dict[str, set[str]] = {
    "home": EVERYBODY,
    "sign-in": EVERYBODY,
    "sign-out": EVERYBODY,
    "language-set": EVERYBODY,
    "livez": EVERYBODY,
    "readyz": EVERYBODY,
    "photo": DESK,
    "api-not-found": EVERYBODY,
    "api-schema": SIGNED_IN,
    "mail": OFFICE,
    "mail-one": OFFICE,
    "mail-again": OFFICE,
    "mail-resume": OFFICE,
    "mail-stop": EVERYBODY,
    "phones": OFFICE,
    "phone-end": OFFICE,
    "phone-link-new": OFFICE,
    "phone-link-end": OFFICE,
    "phone-link": EVERYBODY,
    "phones-mine": CREWS,
    "phone-mine-end": CREWS,
    "api-phone-list": OFFICE,
    "api-phone-detail": OFFICE,
    "api-phone-revoke": OFFICE,
    "api-phone-link-list": OFFICE,
    "api-phone-link-detail": OFFICE,
    "api-phone-link-revoke": OFFICE,
    "api-mail-list": OFFICE,
    "api-mail-detail": OFFICE,
    "job-list": DESK,
    "job": DESK,
    "job-dates": DESK,
    "job-gate": DESK,
    "job-owner": DESK,
    "job-new": DESK,
    "space-new": DESK,
    "space-look": DESK,
    "space": DESK,
    "space-remove": DESK,
    "condition-move": OFFICE,
    "job-warning": DESK,
    "job-checklist-link": OFFICE,
    "checklist-links": OFFICE,
    "checklist-link-make": OFFICE,
    "checklist-link-revoke": OFFICE,
    "checklist-sheet": OFFICE,
    "site-place": DESK,
    "import": DESK,
    "import-preview": DESK,
    "import-blank": DESK,
    "readiness": DESK,
    "builders": DESK,
    "builder": DESK,
    "job-found": OFFICE,
    "rates": OFFICE,
    "back-charges": OFFICE,
    "back-charges-sheet": OFFICE,
    "rates-learn": OFFICE,
    "rate-pin": OFFICE,
    "rate-unpin": OFFICE,
    "rates-yard": OFFICE,
    "materials": OFFICE,
    "material": OFFICE,
    "material-table": OFFICE,
    "material-sheet": OFFICE,
    "step-actual": OFFICE,
    "catalogue": DESK,
    "catalogue-new": OFFICE,
    "catalogue-item": DESK,
    "catalogue-sheet": DESK,
    "catalogue-import": OFFICE,
    "api-catalogue-list": DESK,
    "api-catalogue-detail": DESK,
    "catalogue-change": OFFICE,
    "catalogue-retire": OFFICE,
    "condition-add": DESK,
    "condition-strike": DESK,
    "week": DESK,
    "week-at": DESK,
    "week-post": OFFICE,
    "week-discard": OFFICE,
    "week-plan": OFFICE,
    "stop": DESK,
    "stop-move": OFFICE,
    "stop-take-off": OFFICE,
    "job-place": OFFICE,
    "run": DESK,
    "run-stop": OFFICE,
    "run-cancel": OFFICE,
    "run-accept": OFFICE,
    "run-throw-away": OFFICE,
    "today": DESK,
    "today-window": OFFICE,
    "turned-away-seen": OFFICE,
    "api-today": DESK,
    "turned-away-plan": DESK,
    "rest-plan": OFFICE,
    "evening": DESK,
    "crew-days": CREWS,
    "crew-day": CREWS,
    "crew-days-manifest": EVERYBODY,
    "crew-days-no-signal": EVERYBODY,
    "crew-days-worker": EVERYBODY,
    "checklist": EVERYBODY,
    "checklist-code": EVERYBODY,
    "checklist-house": EVERYBODY,
    "checklist-thanks": EVERYBODY,
    "api-fact-detail": CREWS,
    "api-fact-list": CREWS,
    "api-fact-photo": CREWS,
    "api-fact-corrections": OFFICE,
    "fact-correct": OFFICE,
    "api-job-list": DESK,
    "api-back-charge-detail": OFFICE,
    "api-back-charge-list": OFFICE,
    "api-job-detail": DESK,
    "api-builder-detail": DESK,
    "api-calls": DESK,
    "api-finding-detail": DESK,
    "api-finding-list": DESK,
    "api-evening": DESK,
    "api-week-list": DESK,
    "api-week-detail": DESK,
    "api-crew-day-list": CREWS,
    "api-crew-day-detail": CREWS,
}
# Addresses whose names need no yard.
PLAIN_NAMES: dict[str, dict[str, object]] = {
    "import-blank": {"form": "csv"},
    "catalogue-sheet": {"form": "csv"},
    "api-not-found": {"unused": "nothing"},
    **{
        name: {"week": "2027-W09"} for name in ("week-at", "week-post", "week-discard", "week-plan")
    },
}
# Things of the whole company, which every yard sees.
COMPANY_WIDE = {
    "builder",
    "material",
    "material-table",
    "material-sheet",
    "catalogue-item",
    "catalogue-change",
    "catalogue-retire",
    "api-catalogue-detail",
    "api-builder-detail",
}
BY_LINK = {"mail-stop", "phone-link", "checklist", "checklist-house", "checklist-thanks"}
# Read by the desk, posted to by the office alone.
OFFICE_POSTS = {
    "api-calls",
    "api-evening",
    "api-fact-detail",
    "api-fact-list",
    "api-fact-photo",
    "api-finding-list",
    "api-finding-detail",
}
# A form there names one of several things; a post without one is about nothing that is there.
ONE_OF_SEVERAL = {
    "phone-link-new",
    "checklist-code",
    "checklist-sheet",
    "crew-day",
    "evening",
    "readiness",
    "today-window",
}
# A phone belongs to the lead of the crew, whatever others may see of it.
OWN = {"phone-mine-end"}
# It signs whoever posts to it in as somebody else; tests/contractor/phones tries that.
SIGNS_IN = {"phone-link"}
# An upload belongs to the person who made it, not to the yard.
PERSONAL = {"import-preview"}


@dataclass(frozen=True)
class World:
    """Both yards and a browser for each role."""

    here: Yard
    elsewhere: Yard
    browsers: dict[str, Client]


@pytest.fixture
def world(company: Company) -> World:
    people = {
        "owner": company.olive,
        "office": company.omar,
        "office elsewhere": company.lena,
        "estimator": company.esme,
        "lead": company.cleo,
        "lead elsewhere": company.lars,
    }
    return World(
        here=yard_make(company, company.fairfield, company.north, company.omar),
        elsewhere=yard_make(company, company.lowton, company.lowton_crew, company.lena),
        browsers={
            **{role: signed_in(person) for role, person in people.items()},
            "nobody": Client(),
        },
    )


def addresses() -> list[str]:
    """The names of every address but those of Django's own admin."""
    found: list[str] = []

    def walk(patterns: list[URLPattern | URLResolver]) -> None:
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                if pattern.namespace != "admin":
                    walk(pattern.url_patterns)
            else:
                assert pattern.name, f"{pattern} has no name"
                found.append(pattern.name)

    walk(get_resolver().url_patterns)
    return sorted(set(found))


def test_every_address_has_its_entry() -> None:
    assert addresses() == sorted(ALLOWED)
    needing = {name for name in ALLOWED if name in NAMES_OF or name in PLAIN_NAMES}
    for name in set(ALLOWED) - needing:
        reverse(name)


def sees(role: str, name: str, place: str) -> bool:
    """Whether this role sees the things of this place at this address."""
    if name in BY_LINK | COMPANY_WIDE or name in PLAIN_NAMES or name not in NAMES_OF:
        return True
    if name in PERSONAL:
        return (role, place) in {("office", "here"), ("office elsewhere", "elsewhere")}
    if name in OWN:
        return (role, place) in {("lead", "here"), ("lead elsewhere", "elsewhere")}
    if role == "owner":
        return True
    return ("elsewhere" in role) == (place == "elsewhere")


@pytest.mark.parametrize("role", ROLES)
def test_each_role_reaches_what_is_its_own_and_nothing_else(world: World, role: str) -> None:
    browser, wrong, cells = world.browsers[role], [], 0
    for name in addresses():
        for place in ("here", "elsewhere", "missing"):
            if name not in NAMES_OF and place != "here":
                continue
            names = PLAIN_NAMES.get(name, {})
            if name in NAMES_OF:
                yard = world.elsewhere if place == "elsewhere" else world.here
                names = NAMES_OF[name](yard)
            url = reverse(name, kwargs=missing_names(names) if place == "missing" else names)
            if role == "owner" and place == "elsewhere":
                url += f"?branch={world.elsewhere.branch.pk}"
            for method in ("get", "post"):
                if name in {"sign-out", "language-set"} and role != "nobody":
                    continue  # they end or change what the other cells need
                if name in SIGNS_IN and method == "post":
                    continue
                cells += 1
                response = getattr(browser, method)(url)
                expected = expectation(role, name, place)
                if expected == "open" and method == "post" and name in ONE_OF_SEVERAL:
                    expected = "not there"
                if role == "estimator" and method == "post" and name in OFFICE_POSTS:
                    expected = "not there"
                if not matches(response, expected):
                    wrong.append(f"{role} {method} {url}: {response.status_code}, not {expected}")
    assert not wrong, "\n".join(wrong)
    assert cells > 80


def expectation(role: str, name: str, place: str) -> str:
    """What the answer must be: open, not there, or an invitation to sign in."""
    if role == "nobody" and role not in ALLOWED[name]:
        return "sign in"
    if role not in ALLOWED[name] or name == "api-not-found":
        return "not there"
    if place == "missing" and name in NAMES_OF:
        return "not there"
    return "open" if sees(role, name, place) else "not there"


def matches(response, expected: str) -> bool:  # type: ignore[no-untyped-def]
    code = response.status_code
    if expected == "not there":
        return code in {404, 405}
    if expected == "sign in":
        asked = code == 302 and response.headers["Location"].startswith("/sign-in/")
        return asked or code in {401, 403, 405}
    return code in {200, 302, 400, 403, 405, 409, 415, 422}


def test_not_yours_and_not_there_are_the_same_page(world: World) -> None:
    differing = []
    for name, names_of in NAMES_OF.items():
        if name in BY_LINK | COMPANY_WIDE or name not in ALLOWED:
            continue
        names = names_of(world.elsewhere)
        other = world.browsers["office"].get(reverse(name, kwargs=names))
        gone = world.browsers["office"].get(reverse(name, kwargs=missing_names(names)))
        if (other.status_code, plain(other)) != (gone.status_code, plain(gone)):
            differing.append(name)
    assert differing == []


def plain(response) -> str:  # type: ignore[no-untyped-def]
    """The page without its form token and its own address."""
    text = re.sub(r'name="csrfmiddlewaretoken" value="[^"]+"', "", response.content.decode())
    return re.sub(r'name="next" value="[^"]*"', "", text)
