"""The evening before: what tomorrow's crews hang on, asked for, and what the answers make of it."""

from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import pairwise
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from contractor.access import Action, may, require
from jobs.readiness.queries.calls import Ask
from jobs.readiness.views.calls import AskPresenter, call_take, clock_text, job_of_call
from jobs.wording import dollars
from scheduling.evening.queries import ASK_FROM, Evening, EveningDay, EveningStop
from scheduling.evening.queries import evening_confirmation as confirmation
from scheduling.evening.services import DayRepriced, evening_answer
from scheduling.evening.views.arrivals import ArrivalPresenter, arrival_presenters
from scheduling.weeks.views.where import Asked, asked, asked_about

USUAL_WEEKS = 2


@dataclass(frozen=True)
class ChangePresenter:
    """What one answer made of a crew-day."""

    who: str
    at: str
    words: str


@dataclass(frozen=True)
class EveningStopPage:
    """A house of tomorrow with what to ask."""

    stop: EveningStop
    asks: tuple[AskPresenter, ...]
    last_at: str
    arrival: ArrivalPresenter | None = None

    @property
    def items(self) -> list[str]:
        """Everything that one answer can settle at once."""
        return [shown.item for shown in self.asks]


@dataclass(frozen=True)
class EveningDayPage:
    """A crew's tomorrow as the page shows it."""

    day: EveningDay
    stops: tuple[EveningStopPage, ...]
    changes: tuple[ChangePresenter, ...]
    today: date

    @cached_property
    def line(self) -> str:
        """Solid for a sure day, dashed for a doubtful one, hatched for one under the threshold."""
        if self.day.is_under_threshold:
            return "hatched"
        return "dashed" if self.day.chance < 1 else "solid"


@require(Action.SEE_READINESS)
@require_http_methods(["GET", "HEAD", "POST"])
def evening_page(request: HttpRequest) -> HttpResponseBase:
    """Show what tomorrow hangs on, crew by crew; take what was said about it."""
    if request.method != "POST":
        return render(request, "scheduling/evening/evening.html", _context(request, asked(request)))
    return _answer(request)


@require(Action.MOVE_CONDITION)
def _answer(request: HttpRequest) -> HttpResponse:
    job = job_of_call(request)
    ask = asked_about(request, job.site.branch)
    repriced: list[DayRepriced] = []

    def record(**said: Any) -> None:
        repriced.extend(evening_answer(**said))

    refusal = call_take(request, job, record)
    if refusal:
        context = _context(request, ask) | {"problems": refusal.sentences}
        return render(request, "scheduling/evening/evening.html", context, status=refusal.status)
    messages.success(request, " ".join([_("Saved."), *map(_repriced_words, repriced)]))
    address = f"{reverse('evening')}?branch={ask.branch.pk}"
    following = request.POST.get("next", "")
    is_number = following.isdecimal() and len(following) < 19
    return redirect(f"{address}#ask-{following}" if is_number else address)


def _repriced_words(one: DayRepriced) -> str:
    words = _("%(crew)s: %(change)s.")
    return words % {"crew": one.crew_day.crew.name, "change": _change(one.cents, one.chance)}


def _change(cents: tuple[int, int] | list[int], chance: tuple[float, float] | list[float]) -> str:
    """Say `$310 at risk before, $0 now; chance ready 0 % before, 100 % now`."""
    words = _(
        "%(before)s at risk before, %(after)s now;"
        " chance ready %(chance_before)s %% before, %(chance_after)s %% now"
    )
    return words % {
        "before": dollars(cents[0]),
        "after": dollars(cents[1]),
        "chance_before": int(chance[0] * 100 + 1e-9),
        "chance_after": int(chance[1] * 100 + 1e-9),
    }


def _context(request: HttpRequest, ask: Asked) -> dict[str, Any]:
    evening = confirmation(branch=ask.branch, now=ask.now)
    order = [item.condition.pk for item in _asks(evening)]
    following = dict(pairwise(order))
    arrivals = arrival_presenters(evening)
    return {
        "ask": ask,
        "evening": evening,
        "crew_days": [_day_shown(day, following, arrivals, ask) for day in evening.crew_days],
        "at": next(iter(order), None),
        "open_count": len(order),
        "ask_from": ASK_FROM,
        "may_answer": may(ask.person, Action.MOVE_CONDITION),
        "usual_weeks": USUAL_WEEKS,
        "problems": (),
    }


def _asks(evening: Evening) -> list[Ask]:
    return [ask for day in evening.crew_days for stop in day.stops for ask in stop.asks]


def _day_shown(
    day: EveningDay, following: dict[int, int], arrivals: dict[int, ArrivalPresenter], ask: Asked
) -> EveningDayPage:
    return EveningDayPage(
        day=day,
        stops=tuple(
            EveningStopPage(
                stop,
                tuple(AskPresenter(one, following.get(one.condition.pk)) for one in stop.asks),
                clock_text(stop.last_call.made_at, ask.branch) if stop.last_call else "",
                arrivals.get(stop.job.pk),
            )
            for stop in day.stops
        ),
        changes=tuple(
            ChangePresenter(
                event.who,
                clock_text(event.at, ask.branch),
                _change(event.what["cents"], event.what["chance"]),
            )
            for event in day.changes
        ),
        today=ask.today,
    )
