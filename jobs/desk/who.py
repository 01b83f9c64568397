"""Who asks, and what day it is where that person works; decides nothing."""

from datetime import date, datetime

from django.http import HttpRequest

from contractor.frame.services import zone_of
from contractor.models import User


def person(request: HttpRequest) -> User:
    """The signed-in person; the guard of the view has seen to it that there is one."""
    assert isinstance(request.user, User)  # noqa: S101
    return request.user


def today_of(user: User, now: datetime) -> date:
    """Today where the person works; an owner, who is at no yard, takes the first one's."""
    return now.astimezone(zone_of(user)).date()
