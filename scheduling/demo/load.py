"""Loads the invented company by the same services that a real one uses."""

from datetime import date, datetime

from django.db import transaction

from contractor.access import Scope
from contractor.events import Actor
from contractor.models import Branch, User
from jobs.checklists.services.link import checklist_link_make
from jobs.imports.services import import_apply
from jobs.localtime import branch_calendar
from jobs.models import Superintendent
from scheduling.demo.answers import Answers
from scheduling.demo.company import BRANCH, company_build
from scheduling.demo.finished import finished_load
from scheduling.demo.sheet import demo_rows, next_monday, sheet_bytes

ACTOR = Actor.of_command("demo")


@transaction.atomic
def company_load(*, today: date, now: datetime) -> Branch:
    """Make the company, import its job sheet and give its conditions their answers."""
    branch = company_build(today=today)
    finished_load(branch=branch, today=today, actor=ACTOR, now=now)
    content = sheet_bytes(demo_rows(monday=next_monday(today)))
    import_apply(content=content, scope=Scope(all_branches=True), actor=ACTOR, now=now)
    people = {user.username: user for user in User.objects.all()}
    Answers(
        lead=people["saul"],
        office=people["omar"],
        calendar=branch_calendar(branch),
        now=now,
        today=today,
    ).tell()
    return branch


def company_there() -> Branch | None:
    """Return the demo's branch where it has been loaded before."""
    return Branch.objects.filter(name=BRANCH).first()


def checklist_secret(*, branch: Branch, now: datetime) -> tuple[Superintendent, str]:
    """Make a fresh link for the superintendent with the most houses, and return its secret."""
    person = Superintendent.objects.get(name="Rosa Reyes")
    _, secret = checklist_link_make(superintendent=person, branch=branch, actor=ACTOR, now=now)
    return person, secret
