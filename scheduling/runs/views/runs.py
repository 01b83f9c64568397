"""Planning runs: ask for one, watch it, stop it, decide on its proposal; solves nothing."""

from collections.abc import Callable

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from contractor.access import Action, require
from contractor.workdays import IsoWeek, parse_iso_week
from scheduling.models import PlanningRun
from scheduling.runs.bell import runs_ring_again
from scheduling.runs.queries.left_off import run_left_off
from scheduling.runs.queries.runs import run_page, run_visible
from scheduling.runs.services.replans import rest_ask
from scheduling.runs.services.runs import run_accept, run_ask, run_cancel, run_stop, run_throw_away
from scheduling.runs.views.plot import plot_of
from scheduling.runs.views.words import proof_of, rest_words, run_status, seconds_of
from scheduling.weeks.forms import PlanForm
from scheduling.weeks.services.refusals import PlanAgain, PlanRefused, WeekChanged
from scheduling.weeks.views.bill import bill_of
from scheduling.weeks.views.desk import week_refusal
from scheduling.weeks.views.where import (
    Asked,
    asked,
    asked_about,
    refusal_status,
    refusal_words,
    scope_asked,
    week_address,
)

FRUITLESS = (PlanningRun.State.FAILED, PlanningRun.State.CANCELLED)


@require(Action.PLAN_WEEK)
@require_POST
def week_plan(request: HttpRequest, week: IsoWeek) -> HttpResponse:
    """Ask for a plan from a week on; a branch has one run under way at a time."""
    ask, form = asked(request), PlanForm(request.POST)
    if not form.is_valid():
        limits = _("Plan 1 to 6 weeks at once, for 1 to 600 seconds.")
        return week_refusal(request, ask, week, limits)
    try:
        run = run_ask(
            actor=ask.actor,
            branch=ask.branch,
            first=week,
            now=ask.now,
            today=ask.today,
            **form.cleaned_data,
        )
    except PlanRefused as refused:
        return week_refusal(request, ask, week, refused)
    if run.asked_at != ask.now:
        messages.info(request, _("A plan is being worked out already; this is it."))
    return redirect("run", run.pk)


@require(Action.PLAN_WEEK)
@require_POST
def rest_plan(request: HttpRequest) -> HttpResponse:
    """Ask for a plan of what is left of today."""
    ask = asked(request)
    try:
        run = rest_ask(actor=ask.actor, branch=ask.branch, now=ask.now)
    except PlanRefused as refused:
        return week_refusal(request, ask, IsoWeek.of(ask.today), refused)
    if run.asked_at != ask.now:
        messages.info(request, _("A plan is being worked out already; this is it."))
    return redirect("run", run.pk)


@require(Action.SEE_WEEK)
@require_safe
def run_show(request: HttpRequest, run_id: int) -> HttpResponse:
    """Show how a run goes, or what it proposes; each look also wakes a run that nobody works on."""
    run = _run(request, run_id)
    ask = asked_about(request, run.branch)
    if run.state in PlanningRun.UNDER_WAY:
        runs_ring_again(now=ask.now)
    return _answer(request, ask, run)


@require(Action.PLAN_WEEK)
@require_POST
def run_stop_now(request: HttpRequest, run_id: int) -> HttpResponse:
    """Stop and keep the best plan as the proposal."""
    return _wish(request, run_id, run_stop)


@require(Action.PLAN_WEEK)
@require_POST
def run_cancel_now(request: HttpRequest, run_id: int) -> HttpResponse:
    """Cancel and keep nothing."""
    return _wish(request, run_id, run_cancel)


@require(Action.PLAN_WEEK)
@require_POST
def run_throw_away_now(request: HttpRequest, run_id: int) -> HttpResponse:
    """Decide against the proposal."""
    return _wish(request, run_id, run_throw_away)


@require(Action.PLAN_WEEK)
@require_POST
def run_accept_now(request: HttpRequest, run_id: int) -> HttpResponse:
    """Take the proposal into the draft, unless the week is another by now."""
    run = _run(request, run_id)
    ask = asked_about(request, run.branch)
    try:
        labels = run_accept(actor=ask.actor, run=run, now=ask.now, today=ask.today)
    except PlanRefused as refused:
        return _answer(request, ask, _run(request, run_id), refused)
    messages.success(request, _accepted(labels))
    return redirect(week_address(run.first, run.branch, weeks=run.weeks))


def _run(request: HttpRequest, run_id: int) -> PlanningRun:
    run = run_visible(scope_asked(request), run_id)
    if run is None:
        raise Http404
    return run


def _wish(request: HttpRequest, run_id: int, change: Callable[..., None]) -> HttpResponse:
    run = _run(request, run_id)
    ask = asked_about(request, run.branch)
    try:
        change(actor=ask.actor, run=run, now=ask.now)
    except PlanRefused as refused:
        messages.error(request, refusal_words(refused, ask))
    return redirect("run", run.pk)


def _accepted(labels: list[str]) -> str:
    if not labels:
        return _("Accepted: the week stood like this already.")
    text = ngettext(
        "Accepted into the draft of week %(weeks)s. Crews and builders see it once you post it.",
        "Accepted into the drafts of weeks %(weeks)s. Crews and builders see them once you post.",
        len(labels),
    )
    return text % {"weeks": ", ".join(str(parse_iso_week(label).week) for label in labels)}


def _answer(
    request: HttpRequest, ask: Asked, run: PlanningRun, refused: PlanRefused | None = None
) -> HttpResponse:
    shown = run_page(run=run)
    outcome = run.outcome or {}
    context = {
        "ask": ask,
        "run": run,
        "rest": rest_words(run),
        "shown": shown,
        "left_off": run_left_off(run=run),
        "is_under_way": run.state in PlanningRun.UNDER_WAY,
        "status": run_status(run, is_starting=shown.is_starting),
        "elapsed": seconds_of(run, ask.now),
        "plot": plot_of(shown.points),
        "proof": proof_of(outcome) if outcome else "",
        "bill": bill_of(outcome.get("costs", {})),
        "last": run.first.plus(run.weeks - 1),
        "week_address": week_address(run.first, run.branch, weeks=run.weeks),
        "refused": refused,
        "refusal": refusal_words(refused, ask) if refused else "",
        "is_stale": isinstance(refused, WeekChanged | PlanAgain),
        "is_fruitless": run.state in FRUITLESS,
    }
    status = refusal_status(refused) if refused else 200
    return render(request, "scheduling/runs/run.html", context, status=status)
