"""Changes by hand: move a stop, take it off, place a job; the judge decides, not the page."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from contractor.access import Action, require
from contractor.workdays import IsoWeek
from scheduling.weeks.forms import ChangeForm, StopMoveForm
from scheduling.weeks.queries.week import week_page
from scheduling.weeks.services.moves import Moved, stop_move, stop_place, stop_take_off
from scheduling.weeks.services.refusals import PlanRefused
from scheduling.weeks.shapes import CrewDayCell, DayHead, WeekPage
from scheduling.weeks.views.stack import shelf_job_of, strip_of
from scheduling.weeks.views.where import (
    Asked,
    asked,
    go_to,
    refusal_status,
    refusal_words,
    week_back,
)
from scheduling.words import change_in_dollars, long_day

WEEKS_OFFERED = 2
GET_AND_POST = ["GET", "HEAD", "POST"]


@dataclass
class Hand:
    """A change by hand: who asks for it, on which week page, by which form."""

    request: HttpRequest
    week: IsoWeek
    ask: Asked
    form: ChangeForm
    refused: PlanRefused | None = None

    def attempt(self, change: Callable[..., Moved], **what: int) -> HttpResponse | None:
        """Make the change; None when the form says too little or the change is refused."""
        if not self.form.is_valid():
            return None
        ask, chosen = self.ask, self.form.cleaned_data
        try:
            moved = change(
                actor=ask.actor, branch=ask.branch, now=ask.now, today=ask.today, **what, **chosen
            )
        except PlanRefused as refused:
            self.refused = refused
            return None
        messages.success(self.request, _said(chosen, moved))
        return go_to(self.request, week_back(self.request, self.week))

    def page(self) -> WeekPage:
        """Return the week as it is now, and the week after it."""
        ask = self.ask
        return week_page(branch=ask.branch, week=self.week, weeks=WEEKS_OFFERED, today=ask.today)

    def answer(self, page: WeekPage, thing: object, **context: Any) -> HttpResponse:
        """Show the form, with what was refused; 404 when the thing is not there at all."""
        if thing is None and self.refused is None:
            raise Http404
        refused = self.refused
        context |= {"page": page, "ask": self.ask, "first": self.week, "faulty": self.form}
        context |= {"is_gone": thing is None, "back": week_back(self.request, self.week)}
        context["rooms"] = _rooms(page)
        if refused is not None:
            context["refused"] = refused
            context["refusal"] = refusal_words(refused, self.ask)
        status = refusal_status(refused) if refused else 422 if self.form.errors else 200
        return render(self.request, "scheduling/weeks/move.html", context, status=status)

    def offered(self, page: WeekPage, at: Mapping[str, object]) -> StopMoveForm:
        """Return the form with crew and day to choose: what was sent, else what is now."""
        form = self.form
        if not isinstance(form, StopMoveForm):
            form = StopMoveForm(branch=self.ask.branch)
        if not form.is_bound:
            form.initial = dict(at)
        form.offer(day.date for day in page.days if not (day.is_past or day.closed))
        return form


@require(Action.PLAN_WEEK)
@require_http_methods(GET_AND_POST)
def stop_move_by_hand(request: HttpRequest, week: IsoWeek, stop_id: int) -> HttpResponse:
    """Ask for another crew or day for a stop, and move it there if no rule is against it."""
    hand = _hand(request, week)
    return hand.attempt(stop_move, stop_id=stop_id) or _stop_answer(hand, stop_id)


@require(Action.PLAN_WEEK)
@require_POST
def stop_take_off_by_hand(request: HttpRequest, week: IsoWeek, stop_id: int) -> HttpResponse:
    """Take a stop off the plan; its job goes back to the shelf."""
    hand = Hand(request, week, asked(request), ChangeForm(request.POST))
    return hand.attempt(stop_take_off, stop_id=stop_id) or _stop_answer(hand, stop_id)


@require(Action.PLAN_WEEK)
@require_http_methods(GET_AND_POST)
def job_place_by_hand(request: HttpRequest, week: IsoWeek, job_id: int) -> HttpResponse:
    """Ask for a crew and a day for a job from the shelf, and place it if no rule is against it."""
    hand = _hand(request, week)
    return hand.attempt(stop_place, job_id=job_id) or _job_answer(hand, job_id)


def _hand(request: HttpRequest, week: IsoWeek) -> Hand:
    ask = asked(request)
    sent = request.POST if request.method == "POST" else None
    return Hand(request, week, ask, StopMoveForm(sent, branch=ask.branch))


def _stop_answer(hand: Hand, stop_id: int) -> HttpResponse:
    page = hand.page()
    found = strip_of(page, stop_id)
    if found is None:
        return hand.answer(page, None)
    row, cell, strip = found
    form = hand.offered(page, {"crew": row.crew.pk, "day": cell.date.isoformat()})
    return hand.answer(page, strip, strip=strip, cell=cell, crew=row.crew, form=form)


def _job_answer(hand: Hand, job_id: int) -> HttpResponse:
    page = hand.page()
    job = shelf_job_of(page, job_id)
    return hand.answer(page, job, job=job, form=hand.offered(page, {}))


def _rooms(page: WeekPage) -> list[tuple[DayHead, list[CrewDayCell]]]:
    """Return days down, crews across: what each crew has left on each day to come."""
    columns = zip(*(row.cells for row in page.rows), strict=True)
    lines = zip(page.days, columns, strict=False)
    return [(day, list(cells)) for day, cells in lines if not (day.is_past or day.closed)]


def _said(chosen: Mapping[str, Any], moved: Moved) -> str:
    cost = change_in_dollars(moved.cost_after - moved.cost_before)
    if "crew" not in chosen:
        return _("It is off the plan. Cost of the plan: %(change)s.") % {"change": cost}
    return _("It is now on %(day)s with %(crew)s. Cost of the plan: %(change)s.") % {
        "day": long_day(chosen["day"]),
        "crew": chosen["crew"],
        "change": cost,
    }
