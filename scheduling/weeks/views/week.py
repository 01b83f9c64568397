"""The week page, posting and discarding; and why a stop stands where it does."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from contractor.access import Action, require
from contractor.workdays import IsoWeek
from scheduling.weeks.forms import PostForm, WholeWeekForm
from scheduling.weeks.queries.why import stop_why
from scheduling.weeks.services.posting import draft_discard, week_post
from scheduling.weeks.services.refusals import PlanRefused, PostRefused
from scheduling.weeks.shapes import CrewRow, Strip, WeekPage
from scheduling.weeks.views.bill import bill_of
from scheduling.weeks.views.desk import can_change, choice_of, page_of, week_answer, week_refusal
from scheduling.weeks.views.stack import strip_of
from scheduling.weeks.views.where import asked, branches_seen, week_address, week_back

USUAL_WEEKS = 2


@require(Action.SEE_WEEK)
@require_safe
def week_now(request: HttpRequest) -> HttpResponse:
    """Send the person to the permalink of this week and the next."""
    if not branches_seen(request):
        return render(request, "scheduling/weeks/week_none.html")
    ask = asked(request)
    return redirect(week_address(IsoWeek.of(ask.today), ask.branch, weeks=USUAL_WEEKS))


@require(Action.SEE_WEEK)
@require_safe
def week_show(request: HttpRequest, week: IsoWeek) -> HttpResponse:
    """Show one to six weeks of a branch, drafted or posted, of all crews or of one."""
    return week_answer(request, asked(request), week)


@require(Action.SEE_WEEK)
@require_safe
def stop_show(request: HttpRequest, week: IsoWeek, stop_id: int) -> HttpResponse:
    """Say of one stop why this crew, why this day, and what it costs."""
    ask, choice = asked(request), choice_of(request)
    page = page_of(ask, week, choice)
    found = strip_of(page, stop_id)
    if found is None:
        raise Http404
    row, cell, strip = found
    context = {"ask": ask, "whose": row.crew, "cell": cell, "strip": strip, "first": week}
    context |= {"back": week_back(request, week), "can_change": can_change(ask, choice), **choice}
    if not (choice["posted"] or cell.is_past):
        context |= _why(page, row, strip)
    return render(request, "scheduling/weeks/week_stop.html", context)


def _why(page: WeekPage, row: CrewRow, strip: Strip) -> dict[str, Any]:
    why = stop_why(
        rows=page.rows_read,
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
    form = PostForm(request.POST)
    insists = form.is_valid() and form.cleaned_data["all_the_same"]
    post = partial(week_post, today=asked(request).today, all_the_same=insists)
    return _week_change(request, week, post, said)


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
        unclear = _("The form did not say which week it was about. Nothing was changed.")
        return week_refusal(request, ask, week, unclear)
    first = form.cleaned_data["page"] or week
    expected = form.cleaned_data["expected"][str(week)]
    try:
        change(actor=ask.actor, branch=ask.branch, week=week, expected=expected, now=ask.now)
    except PostRefused as refused:
        return _post_again(request, week, first, refused)
    except PlanRefused as refused:
        return week_refusal(request, ask, first, refused)
    messages.success(request, said)
    return redirect(week_back(request, first))


def _post_again(
    request: HttpRequest, week: IsoWeek, first: IsoWeek, refused: PostRefused
) -> HttpResponse:
    """List what no longer stands in the draft; where it is for the office to say, ask again."""
    context = {"week": week, "refused": refused, "back": week_back(request, first), "first": first}
    context["expected"] = request.POST["expected"]
    return render(request, "scheduling/weeks/week_post.html", context, status=422)
