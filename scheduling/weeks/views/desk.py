"""The week page as an answer, for every view that ends on it; decides nothing."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from contractor.workdays import IsoWeek
from scheduling.weeks.forms import PlanForm, WeekFilter
from scheduling.weeks.queries.week import week_page
from scheduling.weeks.services.refusals import PlanRefused
from scheduling.weeks.shapes import WeekPage
from scheduling.weeks.views.stack import sheets_of
from scheduling.weeks.views.where import Asked, refusal_status, refusal_words

Choice = dict[str, Any]


def choice_of(request: HttpRequest) -> Choice:
    """Return the filters of the query string; 404 for filters that are none."""
    form = WeekFilter(request.GET)
    if not form.is_valid():
        raise Http404
    return form.cleaned_data


def page_of(ask: Asked, week: IsoWeek, choice: Choice) -> WeekPage:
    """Return the weeks that the filters ask for."""
    weeks, posted = choice["weeks"], choice["posted"]
    return week_page(branch=ask.branch, week=week, weeks=weeks, today=ask.today, posted=posted)


def can_change(ask: Asked, choice: Choice) -> bool:
    """Tell whether the person may change what the page shows."""
    return ask.may_plan and not choice["posted"]


def week_answer(
    request: HttpRequest, ask: Asked, week: IsoWeek, *, status: int = 200
) -> HttpResponse:
    """Show one to six weeks from `week` on, as the query string filters them."""
    choice = choice_of(request)
    page = page_of(ask, week, choice)
    context = {
        "ask": ask,
        "page": page,
        "sheets": sheets_of(page, choice["crew"]),
        "plan_form": PlanForm(),
        "can_change": can_change(ask, choice),
        **choice,
    }
    return render(request, "scheduling/weeks/week.html", context, status=status)


def week_refusal(
    request: HttpRequest, ask: Asked, week: IsoWeek, why: PlanRefused | str
) -> HttpResponse:
    """Show the week as it is, and above it why a change was refused: 409, 404 or 422."""
    if isinstance(why, str):
        messages.error(request, why)
        return week_answer(request, ask, week, status=422)
    said = (refusal_words(why, ask), *why.reasons, _("Nothing was changed."))
    messages.error(request, " ".join(said))
    return week_answer(request, ask, week, status=refusal_status(why))
