"""A small planned week, and what every office page is asked: who may see it, what it holds."""

from dataclasses import dataclass
from html.parser import HTMLParser
from typing import Any

from django.test import Client

from contractor.models import User
from jobs.models import Condition, Job
from scheduling.models import Stop, Week, WeekVersion
from tests.people import Company, signed_in
from tests.scheduling.houses import condition_make, day, house_make, version_make, visit_make

WEEK = "2027-W09"
DRAFT, POSTED = WeekVersion.State.DRAFT, WeekVersion.State.POSTED


@dataclass
class Planned:
    """Week 2027-W09 of Fairfield yard: one house planned on Monday, one held up, one open."""

    company: Company
    week: Week
    planned: Job  # 3 h of flat blow, on Monday with North
    held: Job  # the builder owes a chase cover, without any date
    open: Job  # could be placed, but is not
    stop: Stop

    @property
    def address(self) -> str:
        """The permalink of the week."""
        return f"/week/{WEEK}/?branch={self.company.fairfield.pk}"

    @property
    def query(self) -> str:
        """What every address of the branch ends with."""
        return f"?branch={self.company.fairfield.pk}"


def planned_make(company: Company, state: str = DRAFT) -> Planned:
    """Build the week by rows alone."""
    planned = house_make(company, "Lot 1", {"flat_blow": 180})
    held = house_make(company, "Lot 2", {"slope_blow": 240}, ready_date=None)
    condition_make(held, ["slope_blow"])
    free = house_make(company, "Lot 3", {"flat_blow": 120})
    condition_make(free, ["flat_blow"], state=Condition.State.SEEN_DONE)
    version = version_make(company, state)
    stop = visit_make(version, company.north, day(0), planned, {"flat_blow": 180})
    return Planned(company, version.week, planned, held, free, stop)


def get(user: User, address: str) -> Any:
    """What the person gets at an address."""
    answer: Any = signed_in(user).get(address)
    return answer


def text_of(answer: Any) -> str:
    """The words of a page, without tags, white space in one."""
    words = _Words()
    words.feed(answer.content.decode())
    return " ".join(" ".join(words.found).split())


def inline_faults(answer: Any) -> list[str]:
    """What a page holds that its own policy refuses: style, script or handlers in the page."""
    faults = _Faults()
    faults.feed(answer.content.decode())
    return faults.found


def strict(user: User) -> Client:
    """A browser in which the person is signed in, whose forms need their token."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


class _Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_data(self, data: str) -> None:
        self.found.append(data)


class _Faults(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = dict(attrs)
        bad = [name for name in names if name == "style" or name.startswith(("on", "hx-on"))]
        if tag == "style" or (tag == "script" and not names.get("src")):
            bad.append(tag)
        self.found += [f"<{tag}>: {name}" for name in bad]
