"""The one place that decides what a person may do and how far a person sees."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from functools import wraps
from typing import Any

from django.contrib.auth.models import AnonymousUser
from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase

from contractor.models.person import Role, User

Person = User | AnonymousUser
View = Callable[..., HttpResponseBase]


class Action(StrEnum):
    """Everything that a person may be allowed to do."""

    SEE_WEEK = "see week"
    PLAN_WEEK = "plan week"
    SEE_JOB = "see job"
    EDIT_JOB = "edit job"
    IMPORT_JOBS = "import jobs"
    SEE_READINESS = "see readiness"
    MOVE_CONDITION = "move condition"
    ANSWER_WARNING = "answer warning"
    SEND_CHECKLIST = "send checklist"
    SEE_CREW_DAY = "see crew day"
    TELL_FACT = "tell fact"
    CORRECT_FACT = "correct fact"
    SET_COSTS = "set costs"
    SEE_RATES = "see rates"
    SET_RATES = "set rates"
    ENTER_ACTUAL = "enter actual"
    SEE_CATALOGUE = "see catalogue"
    EDIT_CATALOGUE = "edit catalogue"
    MANAGE_PHONES = "manage phones"


_OFFICE = frozenset(Action)
_ALLOWED: dict[str, frozenset[Action]] = {
    Role.OWNER: frozenset(Action),
    Role.OFFICE: _OFFICE,
    Role.ESTIMATOR: frozenset(
        {
            Action.SEE_WEEK,
            Action.SEE_JOB,
            Action.EDIT_JOB,
            Action.IMPORT_JOBS,
            Action.SEE_READINESS,
            Action.ANSWER_WARNING,
            Action.SEE_CREW_DAY,
            Action.SEE_CATALOGUE,
        }
    ),
    Role.CREW_LEAD: frozenset({Action.SEE_CREW_DAY, Action.TELL_FACT}),
}


@dataclass(frozen=True)
class Scope:
    """How far a person sees: every branch, some branches, or one crew's posted days."""

    all_branches: bool = False
    branch_ids: frozenset[int] = frozenset()
    crew_id: int | None = None


NOTHING = Scope()


def may(person: Person, action: Action) -> bool:
    """Return whether the role of an active person allows the action at all."""
    return isinstance(person, User) and person.is_active and action in _ALLOWED[person.role]


def scope_of(person: Person) -> Scope:
    """Return how far the person sees; nobody in particular sees nothing."""
    if not isinstance(person, User) or not person.is_active:
        return NOTHING
    if person.role == Role.OWNER:
        return Scope(all_branches=True)
    branches = frozenset({person.branch_id} if person.branch_id else ())
    if person.role == Role.CREW_LEAD:
        return _crew_scope(person)
    return Scope(branch_ids=branches)


def _crew_scope(person: User) -> Scope:
    """Let a lead who is on no crew any more see nothing, not everything."""
    member = getattr(person, "crew_member", None)
    if member is None or not member.active:
        return NOTHING
    return Scope(crew_id=member.crew_id)


def require(action: Action) -> Callable[[View], View]:
    """Let a view run only for who may do `action`.

    Nobody signed in is sent to sign in; who may not sees the same 404 as for what is not there.
    """

    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            if not may(request.user, action):
                raise Http404
            return view(request, *args, **kwargs)

        guarded.required_action = action  # type: ignore[attr-defined]
        return guarded

    return decorate
