"""Who asks, and what day it is where that person works; decides nothing."""

from datetime import date, datetime

from django.http import HttpRequest

from contractor.frame.services import zone_of
from contractor.models import User


def person(request: HttpRequest) -> User:
    """Return the signed-in person; the guard of the view has seen to it that there is one."""
    assert isinstance(request.user, User)  # noqa: S101
    return request.user


def today_of(user: User, now: datetime) -> date:
    """Return today where the person works; an owner, who is at no yard, takes the first one's."""
    return now.astimezone(zone_of(user)).date()
