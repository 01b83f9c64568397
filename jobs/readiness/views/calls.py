"""The calls to make today: whom to ring, what to ask, what hangs on it; takes what was said."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from contractor.access import Action, may, require, scope_of
from contractor.events import Actor
from contractor.models import Branch
from jobs.catalogue.rows import entry_of
from jobs.conditions.readiness import Marks
from jobs.conditions.states import MoveRefused
from jobs.conditions.words import PARTY_NAMES, US
from jobs.desk.forms import form_sentences
from jobs.desk.services import Stale
from jobs.desk.views.filters import Filters
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT, Refusal, someone_was_quicker, state_text
from jobs.desk.who import person
from jobs.localtime import local_date
from jobs.models import Job
from jobs.readiness.forms import CallForm, items_of
from jobs.readiness.queries.calls import Ask, Call, HouseAsks, calls_list, marks_of
from jobs.readiness.services.call import CallTaken, call_record
from jobs.wording import day_text, sentence_text, word

CALLS_ON_A_PAGE = 10
# So many houses of a page lie open, the first ones; of the others the head shows, and leads on.
HOUSES_OPEN = 3


@dataclass(frozen=True)
class AskPresenter:
    """One thing to ask, with its state in words; `following` is what to ask after it, if any."""

    ask: Ask
    following: int | None

    @cached_property
    def state_text(self) -> str:
        """Its state in words."""
        return state_text(self.ask.condition)

    @cached_property
    def consequence(self) -> str:
        """What happens when it is missed, as the catalogue says it."""
        entry = entry_of(self.ask.condition)
        return word(entry.consequence) if entry else ""

    @property
    def item(self) -> str:
        """Its name and version in a form."""
        return f"{self.ask.condition.pk}:{self.ask.condition.version}"


@dataclass(frozen=True)
class CallHouse:
    """A house of a call, with what to ask and how far it is: `4 of 6`."""

    house: HouseAsks
    asks: tuple[AskPresenter, ...]
    marks: Marks
    is_open: bool

    @property
    def items(self) -> list[str]:
        """Everything that one answer can settle at once."""
        return [shown.item for shown in self.asks]

    @property
    def following(self) -> int | None:
        """The first thing of the next house."""
        return self.asks[-1].following if self.asks else None

    @property
    def stops(self) -> int:
        """How many of what waits stop work for safety's sake."""
        return sum(shown.ask.condition.gate == "stop" for shown in self.asks)


@dataclass(frozen=True)
class CallPresenter:
    """A call with its houses; `following` is the first thing of the next call."""

    call: Call
    houses: tuple[CallHouse, ...]
    today: date
    following: int | None

    @property
    def rest_until(self) -> str:
        """The time of the wall until which others are rung first."""
        return clock_text(self.call.last.rest_until if self.call.last else None, self.call.branch)

    @property
    def last_at(self) -> str:
        """When the person was rung last, by the yard's clock."""
        return clock_text(self.call.last.made_at if self.call.last else None, self.call.branch)


def clock_text(moment: datetime | None, branch: Branch) -> str:
    """Return a moment by the yard's clock: `Thu Feb 25, 09:00`; empty for none."""
    if moment is None:
        return ""
    local = moment.astimezone(ZoneInfo(branch.time_zone))
    return f"{day_text(local.date())}, {local:%H:%M}"


@require(Action.SEE_READINESS)
@require_http_methods(["GET", "HEAD", "POST"])
def readiness_page(request: HttpRequest) -> HttpResponseBase:
    """Show the calls to make, by the query string's filters; take what was said in one."""
    if request.method != "POST":
        return render(request, "jobs/readiness/readiness.html", _context(request))
    return answer_post(request)


@require(Action.MOVE_CONDITION)
def answer_post(request: HttpRequest) -> HttpResponse:
    """Write down a call, and go on to the next thing to ask."""
    refusal = call_take(request, job_of_call(request), call_record)
    if refusal:
        context = _context(request) | {"problems": refusal.sentences}
        return render(request, "jobs/readiness/readiness.html", context, status=refusal.status)
    messages.success(request, _("Saved."))
    query = Filters.read(request.GET).query
    following = _number(request.POST.get("next", ""))
    if following:
        query = f"{query}&at={following}".lstrip("&")
        return redirect(f"{reverse('readiness')}?{query}#ask-{following}")
    return redirect(f"{reverse('readiness')}?{query}" if query else reverse("readiness"))


def call_take(request: HttpRequest, job: Job, record: Callable[..., object]) -> Refusal | None:
    """Write down what was posted about the houses of this one's superintendent; else why not.

    record: `call_record`, or a service that calls it.
    """
    now, branch = timezone.now(), job.site.branch
    form = CallForm(request.POST, today=local_date(branch, now))
    if not form.is_valid():
        return Refusal(BAD_INPUT, tuple(form_sentences(form)))
    try:
        record(
            superintendent_id=job.site.superintendent_id,
            branch=branch,
            answers=form.answers,
            seen=form.cleaned_data["seen"] or 0,
            actor=Actor.of_user(person(request)),
            now=now,
        )
    except CallTaken as taken:
        return Refusal(CONFLICT, (_taken(taken, branch),))
    except MoveRefused as refused:
        return Refusal(CONFLICT, (sentence_text(refused.sentence),))
    except Stale as stale:
        return Refusal(CONFLICT, (someone_was_quicker(stale.present),))
    except ValidationError as error:
        return Refusal(BAD_INPUT, tuple(map(word, error.messages)))
    return None


def _taken(taken: CallTaken, branch: Branch) -> str:
    words = _("%(who)s wrote down a call at %(when)s meanwhile. Nothing of yours was saved.")
    return words % {"who": taken.present.who, "when": clock_text(taken.present.made_at, branch)}


def job_of_call(request: HttpRequest) -> Job:
    """Return a house of the call; 404 unless the person sees it, and all that was named."""
    jobs = (
        Job.objects.open()
        .visible_to(scope_of(request.user))
        .select_related("site__branch", "site__superintendent")
    )
    wanted = {pk for pk, _version in items_of(request.POST)}
    if wanted:
        found = jobs.filter(conditions__in=wanted).distinct()
        known = jobs.filter(conditions__in=wanted).values("conditions").distinct().count()
        first = found.first()
        if first is None or known != len(wanted):
            raise Http404
        return first
    number = _number(request.POST.get("house", ""))
    house = jobs.filter(pk=number, site__superintendent__isnull=False).first()
    if house is None:
        raise Http404
    return house


def _context(request: HttpRequest) -> dict[str, Any]:
    scope, user, now = scope_of(request.user), person(request), timezone.now()
    filters = Filters.read(request.GET)
    calls = calls_list(
        scope, now=now, builder_id=filters.builder, site_id=filters.site, owed_by=filters.owed_by
    )
    at = _number(request.GET.get("at", ""))
    page = Paginator(calls, CALLS_ON_A_PAGE).get_page(_page_asked(request, calls, at))
    here = list(page.object_list)
    order = [ask.condition.pk for call in here for ask in call.asks]
    return {
        "filters": filters,
        "page": page,
        "calls": _calls_shown(here, order, at, now),
        "at": at if at in order else next(iter(order), None),
        "to_make": sum(bool(call.asks) for call in calls),
        "waiting": sum(len(call.asks) for call in calls),
        "at_risk_cents": sum(call.at_risk_cents for call in calls),
        "reported": sum(len(house.reported) for call in calls for house in call.houses),
        "choices": filters.choices(scope),
        "parties": {party: name for party, name in PARTY_NAMES.items() if party != US},
        "may_answer": may(user, Action.MOVE_CONDITION),
    }


def _number(text: str) -> int:
    """Return the row that a query or a form names; 0, which is none, where it names none."""
    return int(text) if text.isdecimal() and len(text) < 19 else 0


def _page_asked(request: HttpRequest, calls: Sequence[Call], at: int) -> str | int | None:
    """Return the page asked for, else the one with the thing to go on with."""
    asked = request.GET.get("page")
    if asked or not at:
        return asked
    holding = (n for n, call in enumerate(calls) if any(a.condition.pk == at for a in call.asks))
    return next(holding, 0) // CALLS_ON_A_PAGE + 1


def _calls_shown(
    calls: Sequence[Call], order: Sequence[int], at: int, now: datetime
) -> list[CallPresenter]:
    following = dict(pairwise(order))
    asked = [house for call in calls for house in call.houses if house.asks]
    opened = {house.job.pk for house in asked[:HOUSES_OPEN]} | _house_of(asked, at)
    far = marks_of(house.job for call in calls for house in call.houses)
    return [
        CallPresenter(
            call=call,
            houses=tuple(
                CallHouse(
                    house=house,
                    asks=tuple(
                        AskPresenter(ask, following.get(ask.condition.pk)) for ask in house.asks
                    ),
                    marks=far[house.job.pk],
                    is_open=house.job.pk in opened,
                )
                for house in call.houses
            ),
            today=local_date(call.branch, now),
            following=following.get(call.asks[-1].condition.pk) if call.asks else None,
        )
        for call in calls
    ]


def _house_of(houses: Sequence[HouseAsks], at: int) -> set[int]:
    """Return the house of the thing to go on with."""
    return {house.job.pk for house in houses if any(ask.condition.pk == at for ask in house.asks)}
