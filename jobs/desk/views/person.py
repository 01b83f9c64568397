"""One posted answer about a condition, for every page that takes one; decides nothing itself."""

from datetime import date, datetime

from django.http import HttpRequest

from contractor.models import Branch, User
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT, Refusal, someone_was_quicker, standing
from jobs.localtime import local_date

__all__ = [
    "BAD_INPUT",
    "CONFLICT",
    "Refusal",
    "person",
    "someone_was_quicker",
    "standing",
    "today_of",
]


def person(request: HttpRequest) -> User:
    """The signed-in person; the guard of the view has seen to it that there is one."""
    assert isinstance(request.user, User)  # noqa: S101
    return request.user


def today_of(user: User, now: datetime) -> date:
    """Today where the person works; an owner, who is at no yard, takes the first one's."""
    branch = user.branch or Branch.objects.order_by("pk").first()
    return local_date(branch, now) if branch else now.date()
