"""Everything owed, house by house in the order of what it puts at risk, with whom to call."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from contractor.access import Action, Scope, may, require, scope_of
from contractor.events import Actor
from contractor.models import User
from jobs.conditions.states import PROMISED, REPORTED_DONE
from jobs.conditions.words import PARTY_NAMES
from jobs.models import Condition, Job
from jobs.queries import OwedItem, local_date, moves_for, readiness_list
from jobs.views.filters import Filters
from jobs.views.moving import (
    Refusal,
    answer_take,
    condition_or_404,
    person,
    standing,
    today_of,
)
from jobs.whereabouts import planned_days, step_days

HOUSES_ON_A_PAGE = 20
# The most urgent houses lie open; the others show their head until they are asked for.
HOUSES_OPEN = 5
# What can be told over the telephone; the rest of the moves are on the job's page.
BY_TELEPHONE = (PROMISED, REPORTED_DONE)


@dataclass(frozen=True)
class OwedShown:
    """One owed thing with its state in words."""

    item: OwedItem
    standing: str
    moves: tuple[str, ...]


@dataclass(frozen=True)
class HouseOwed:
    """A house with all it owes, what stops work first, and the day of its most urgent thing."""

    job: Job
    owed: tuple[OwedShown, ...]
    needed_by: date | None
    overdue: bool
    is_planned: bool
    is_open: bool = False

    @property
    def waiting(self) -> int:
        """How many things nobody has reported done."""
        return len(self.owed) - self.reported

    @property
    def reported(self) -> int:
        """How many are reported done, and wait to be seen."""
        return sum(shown.item.condition.state == REPORTED_DONE for shown in self.owed)

    @property
    def stops(self) -> int:
        """How many of what waits stop work for safety's sake."""
        return sum(
            condition.gate == Condition.Gate.STOP and condition.state != REPORTED_DONE
            for condition in (shown.item.condition for shown in self.owed)
        )


@require(Action.SEE_READINESS)
@require_http_methods(["GET", "HEAD", "POST"])
def readiness_page(request: HttpRequest) -> HttpResponseBase:
    """Show what is owed, by the query string's filters; take an answer told by telephone."""
    if request.method != "POST":
        return render(request, "jobs/readiness.html", _context(request))
    return answer_post(request)


@require(Action.MOVE_CONDITION)
def answer_post(request: HttpRequest) -> HttpResponse:
    """Record what somebody said on the telephone about one thing."""
    text = request.POST.get("condition", "")
    condition_id = int(text) if text.isdecimal() and len(text) < 19 else 0
    condition = condition_or_404(request, condition_id)
    now = timezone.now()
    refusal = answer_take(
        condition,
        request.POST,
        actor=Actor.of_user(person(request)),
        now=now,
        today=local_date(condition.job.site.branch, now),
    )
    if refusal:
        return _refused(request, refusal)
    messages.success(request, _("Saved."))
    query = f"{Filters.read(request.GET).query}&open={condition.job_id}".lstrip("&")
    return redirect(f"{reverse('readiness')}?{query}#job-{condition.job_id}")


def _refused(request: HttpRequest, refusal: Refusal) -> HttpResponse:
    context = _context(request) | {"problems": refusal.sentences}
    return render(request, "jobs/readiness.html", context, status=refusal.status)


def _context(request: HttpRequest) -> dict[str, Any]:
    scope, user = scope_of(request.user), person(request)
    today = today_of(user, timezone.now())
    filters = Filters.read(request.GET)
    items, planned_jobs = _owed(scope, today)
    houses = _houses(_asked_for(items, filters), planned_jobs, user)
    page = Paginator(houses, HOUSES_ON_A_PAGE).get_page(request.GET.get("page"))
    asked_for = request.GET.get("open") or request.POST.get("house")
    return {
        "filters": filters,
        "page": page,
        "houses": _opened(list(page.object_list), asked_for),
        "waiting": sum(house.waiting for house in houses),
        "reported": sum(house.reported for house in houses),
        "choices": filters.choices(scope),
        "parties": {item.condition.owed_by: PARTY_NAMES[item.condition.owed_by] for item in items},
        "may_answer": may(user, Action.MOVE_CONDITION),
        "today": today,
    }


def _owed(scope: Scope, today: date) -> tuple[list[OwedItem], set[int]]:
    """What is owed, and the jobs that stand on a coming day of the plan."""
    days = planned_days(Job.objects.visible_to(scope).open())
    coming = step_days(days, today)
    planned_jobs = {planned.job_id for planned in days if planned.step_id in coming}
    return list(readiness_list(scope, today=today, planned=coming)), planned_jobs


def _asked_for(items: Iterable[OwedItem], filters: Filters) -> list[OwedItem]:
    return [
        item
        for item in items
        if filters.builder in (None, item.job.site.builder_id)
        and filters.site in (None, item.job.site_id)
        and filters.owed_by in ("", item.condition.owed_by)
    ]


def _houses(items: Iterable[OwedItem], planned_jobs: set[int], user: User) -> list[HouseOwed]:
    """The items gathered by house, the houses that a crew is to go to first.

    Within each of the two a house stands where its most urgent item stood.
    """
    by_job: dict[int, list[OwedItem]] = {}
    for item in items:
        by_job.setdefault(item.job.pk, []).append(item)
    houses = [_house(owed, owed[0].job.pk in planned_jobs, user) for owed in by_job.values()]
    return sorted(houses, key=lambda house: not house.is_planned)


def _opened(houses: list[HouseOwed], asked_for: str | None) -> list[HouseOwed]:
    """The houses of a page, the first few and the one asked for lying open."""
    return [
        replace(house, is_open=place < HOUSES_OPEN or str(house.job.pk) == asked_for)
        for place, house in enumerate(houses)
    ]


def _house(owed: list[OwedItem], is_planned: bool, user: User) -> HouseOwed:
    """One house; `owed` comes in the order of urgency."""
    return HouseOwed(
        job=owed[0].job,
        owed=tuple(_shown(item, user) for item in sorted(owed, key=_call_order)),
        needed_by=owed[0].needed_by,
        overdue=owed[0].overdue,
        is_planned=is_planned,
    )


def _call_order(item: OwedItem) -> tuple[bool, int]:
    """What nobody has reported done first, then what stops work before what only tells."""
    condition = item.condition
    return condition.state == REPORTED_DONE, Condition.Gate.values.index(condition.gate)


def _shown(item: OwedItem, user: User) -> OwedShown:
    told = tuple(move for move in moves_for(item.condition, user) if move in BY_TELEPHONE)
    return OwedShown(item, standing(item.condition), told)
