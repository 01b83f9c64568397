"""The week page, posting and discarding; and why a stop stands where it does."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from contractor.access import Action, require
from contractor.workdays import IsoWeek
from scheduling.forms import PlanForm, WeekFilter, WholeWeekForm
from scheduling.queries import CrewRow, Strip, WeekPage, week_page
from scheduling.queries.why import stop_why
from scheduling.services import PlanRefused, draft_discard, week_post
from scheduling.views.run_words import bill_of
from scheduling.views.stack import sheets_of, strip_of
from scheduling.views.where import Asked, asked, refusal_words, week_address, week_back

USUAL_WEEKS = 2


@require(Action.SEE_WEEK)
@require_safe
def week_now(request: HttpRequest) -> HttpResponse:
    """Send the person to the permalink of this week and the next."""
    ask = asked(request)
    return redirect(week_address(IsoWeek.of(ask.today), ask.branch, weeks=USUAL_WEEKS))


@require(Action.SEE_WEEK)
@require_safe
def week_show(request: HttpRequest, week: IsoWeek) -> HttpResponse:
    """Show one to six weeks of a branch, drafted or posted, of all crews or of one."""
    ask, choice = asked(request), _choice_of(request)
    page = _page(ask, week, choice)
    sheets = sheets_of(page, choice["crew"])
    context = {"ask": ask, "page": page, "sheets": sheets, "plan_form": PlanForm(), **choice}
    context["can_change"] = ask.may_plan and not choice["posted"]
    return render(request, "scheduling/week.html", context)


@require(Action.SEE_WEEK)
@require_safe
def stop_show(request: HttpRequest, week: IsoWeek, stop_id: int) -> HttpResponse:
    """Say of one stop why this crew, why this day, and what it costs."""
    ask, choice = asked(request), _choice_of(request)
    page = _page(ask, week, choice)
    found = strip_of(page, stop_id)
    if found is None:
        raise Http404
    row, cell, strip = found
    context = {"ask": ask, "page": page, "whose": row.crew, "cell": cell, "strip": strip}
    context |= {"first": week, "back": week_back(request, week), **choice}
    context["can_change"] = ask.may_plan and not choice["posted"]
    if not (choice["posted"] or cell.is_past):
        context |= _why(ask, week, choice["weeks"], row, strip)
    return render(request, "scheduling/week_stop.html", context)


def _page(ask: Asked, week: IsoWeek, choice: dict[str, Any]) -> WeekPage:
    weeks, posted = choice["weeks"], choice["posted"]
    return week_page(branch=ask.branch, week=week, weeks=weeks, today=ask.today, posted=posted)


def _why(ask: Asked, week: IsoWeek, weeks: int, row: CrewRow, strip: Strip) -> dict[str, Any]:
    why = stop_why(
        branch=ask.branch,
        week=week,
        weeks=weeks,
        today=ask.today,
        job_id=strip.job_id,
        step_ids=[part.step_id for part in strip.parts],
        crew_id=row.crew.pk,
    )
    return {"why": why, "bill": bill_of(why.costs) if why else []}


@require(Action.PLAN_WEEK)
@require_POST
def week_send(request: HttpRequest, week: IsoWeek) -> HttpResponse:
    """Post the draft of a week: from then on crews and builders see it."""
    said = _("Week %(week)s is posted. Crews and builders see it now.") % {"week": week.week}
    return _week_change(request, week, week_post, said)


@require(Action.PLAN_WEEK)
@require_POST
def week_discard(request: HttpRequest, week: IsoWeek) -> HttpResponse:
    """Throw the draft of a week away; what is posted stays."""
    said = _("The draft of week %(week)s is discarded.") % {"week": week.week}
    return _week_change(request, week, draft_discard, said)


def _week_change(
    request: HttpRequest, week: IsoWeek, change: Callable[..., object], said: str
) -> HttpResponse:
    ask, form = asked(request), WholeWeekForm(request.POST)
    if not form.is_valid() or str(week) not in form.cleaned_data["expected"]:
        messages.error(request, _("The form did not say which week it was about. Try again."))
        return redirect(week_back(request, week))
    expected = form.cleaned_data["expected"][str(week)]
    try:
        change(actor=ask.actor, branch=ask.branch, week=week, expected=expected, now=ask.now)
    except PlanRefused as refused:
        messages.error(request, _refusal(refused, ask))
    else:
        messages.success(request, said)
    return redirect(week_back(request, form.cleaned_data["page"] or week))


def _refusal(refused: PlanRefused, ask: Asked) -> str:
    parts = (refusal_words(refused, ask), *refused.reasons, _("Nothing was changed."))
    return " ".join(parts)


def _choice_of(request: HttpRequest) -> dict[str, Any]:
    form = WeekFilter(request.GET)
    if not form.is_valid():
        raise Http404
    return form.cleaned_data
