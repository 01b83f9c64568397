"""The page of a job: its spaces, what they make, what they wait for; and what is posted there."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contractor.access import Action, may, require, scope_of
from contractor.events import Actor
from contractor.models import User
from jobs.catalogue.queries import addable_items
from jobs.catalogue.rows import entry_of
from jobs.checklists.queries import photos_of
from jobs.checklists.views import link_page
from jobs.conditions.catalogue import CatalogueEntry
from jobs.desk.forms import form_sentences
from jobs.desk.services import Stale
from jobs.desk.views.history import event_presenter
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT, Refusal, state_line, state_text
from jobs.desk.who import person
from jobs.estimates.services.estimate import warning_answer
from jobs.estimates.views import estimate_steps, job_totals, load_texts
from jobs.houses.cautions import LAST_WORD, house_cautions
from jobs.houses.forms.answers import DatesForm, WarningForm
from jobs.houses.queries import JobPage, job_page
from jobs.houses.services.job import job_update
from jobs.houses.views.job_list import READY, line_of
from jobs.localtime import local_date
from jobs.models import Condition, ConditionPhoto, EstimateWarning, Job
from jobs.plan_ports import planned_days
from jobs.rates.job_actuals import actuals_of
from jobs.readiness.queries.conditions import moves_for
from jobs.readiness.views.moving import answer_take, condition_or_404
from jobs.spaces.views.measures import space_measures
from jobs.whereabouts import visits

STRUCK = Condition.ByHand.STRUCK
GATE_ORDER = ("stop", "law", "block", "warn", "close")


@dataclass(frozen=True)
class ConditionPresenter:
    """A condition with its entry in the catalogue, its state in words and the open moves."""

    condition: Condition
    entry: CatalogueEntry | None
    state_text: str
    line: str
    moves: tuple[str, ...]
    photos: tuple[ConditionPhoto, ...] = ()


@require(Action.SEE_JOB)
@require_safe
def job_show(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show a job with its spaces, estimate, conditions, plan and history."""
    return job_response(request, job_id)


@require(Action.MOVE_CONDITION)
@require_POST
def condition_post(request: HttpRequest, job_id: int, condition_id: int) -> HttpResponse:
    """Take an answer about one condition of the job."""
    condition = condition_or_404(request, condition_id)
    if condition.job_id != job_id:
        raise Http404
    now, user = timezone.now(), person(request)
    refusal = answer_take(
        condition,
        request.POST,
        actor=Actor.of_user(user),
        now=now,
        today=local_date(condition.job.site.branch, now),
        files=request.FILES,
    )
    if refusal:
        return job_response(request, job_id, refusal)
    messages.success(request, _("Saved."))
    return redirect(f"{reverse('job', args=[job_id])}#condition-{condition_id}")


@require(Action.EDIT_JOB)
@require_POST
def dates_post(request: HttpRequest, job_id: int) -> HttpResponse:
    """Take the job's ready date and promised date."""
    job = job_or_404(request, job_id)
    now = timezone.now()
    form = DatesForm(request.POST, today=local_date(job.site.branch, now))
    if not form.is_valid():
        return job_response(request, job_id, Refusal(BAD_INPUT, tuple(form_sentences(form))))
    try:
        job_update(
            job_id=job_id,
            version=form.cleaned_data["version"],
            changes=form.changes(),
            actor=Actor.of_user(person(request)),
            now=now,
        )
    except Stale:
        words = _("Somebody changed this job meanwhile. Below is how it is now.")
        return job_response(request, job_id, Refusal(CONFLICT, (words,)))
    except ValidationError as error:
        return job_response(request, job_id, Refusal(BAD_INPUT, tuple(error.messages)))
    messages.success(request, _("Dates saved."))
    return redirect("job", job_id)


@require(Action.ANSWER_WARNING)
@require_POST
def warning_post(request: HttpRequest, job_id: int, warning_id: int) -> HttpResponse:
    """Take the word of who answers for a warning of the estimate."""
    job = job_or_404(request, job_id)
    warnings = EstimateWarning.objects.select_related("answered_by")
    warning = get_object_or_404(warnings, pk=warning_id, space__job=job)
    form = WarningForm(request.POST)
    if not form.is_valid():
        return job_response(request, job_id, Refusal(BAD_INPUT, tuple(form_sentences(form))))
    if warning.answered_at:
        words = _("%(who)s answered for this already; that answer stands.")
        who = Actor.of_user(warning.answered_by).who if warning.answered_by else "—"
        return job_response(request, job_id, Refusal(CONFLICT, (words % {"who": who},)))
    actor, now = Actor.of_user(person(request)), timezone.now()
    warning_answer(warning_id=warning.pk, answer=form.cleaned_data["answer"], actor=actor, now=now)
    messages.success(request, _("Your answer to the warning is kept under your name."))
    return redirect("job", job_id)


@require(Action.SEND_CHECKLIST)
@require_POST
@never_cache
def checklist_link_post(request: HttpRequest, job_id: int) -> HttpResponse:
    """Make a link for the site's superintendent and show it this once."""
    job = job_or_404(request, job_id)
    superintendent = job.site.superintendent
    if superintendent is None:
        words = _("This site has no superintendent yet, so there is nobody to give a link to.")
        return job_response(request, job_id, Refusal(BAD_INPUT, (words,)))
    return link_page(request, superintendent, job.site.branch, job)


def job_or_404(request: HttpRequest, job_id: int) -> Job:
    """Return the job, where the person sees it."""
    jobs = Job.objects.visible_to(scope_of(request.user)).select_related(
        "site__branch", "site__superintendent"
    )
    return get_object_or_404(jobs, pk=job_id)


def job_response(request: HttpRequest, job_id: int, refusal: Refusal | None = None) -> HttpResponse:
    """Show the job's page as it is now, with why something was refused."""
    page = job_page(scope_of(request.user), job_id)
    if page is None:
        raise Http404
    context = _job_context(request, page) | {"problems": refusal.sentences if refusal else ()}
    return render(
        request, "jobs/houses/job.html", context, status=refusal.status if refusal else 200
    )


def _job_context(request: HttpRequest, page: JobPage) -> dict[str, Any]:
    job, user = page.job, person(request)
    steps = estimate_steps([step for step in page.steps if step.needed], page.spaces)
    marks = page.outlook.marks
    conditions = _conditions_shown(page, user)
    names = {condition.code: condition.name for condition in page.conditions}
    return {
        "job": job,
        "actuals": actuals_of(job, user),
        "line": line_of(marks),
        "ready_word": READY[line_of(marks)],
        "marks": marks,
        "spaces": [(space, space_measures(space)) for space in page.spaces],
        "steps": steps,
        "totals": job_totals(steps, job.setup_person_minutes),
        "loads": load_texts(shown.step for shown in steps),
        "warnings": page.warnings,
        "held": [conditions_of(conditions, gate) for gate in GATE_ORDER],
        "past_conditions": [
            shown
            for shown in conditions
            if not shown.condition.holds and shown.condition.by_hand != STRUCK
        ],
        "struck": [c for c in page.conditions if c.by_hand == STRUCK],
        "addable": addable_items(page.conditions) if may(user, Action.EDIT_JOB) else (),
        "cautions": house_cautions([shown.step.kind for shown in steps], job.year_built),
        "last_word": LAST_WORD,
        "planned": visits(planned_days(Job.objects.filter(pk=job.pk))),
        "history": [event_presenter(event, names) for event in page.events],
        "may_edit": may(user, Action.EDIT_JOB),
        "may_answer": may(user, Action.ANSWER_WARNING),
        "may_find": may(user, Action.MOVE_CONDITION),
        "may_send": may(user, Action.SEND_CHECKLIST),
        "today": local_date(job.site.branch, timezone.now()),
    }


def _conditions_shown(page: JobPage, user: User) -> list[ConditionPresenter]:
    movable = may(user, Action.MOVE_CONDITION)
    lines = {mark.code: mark.line for mark in page.outlook.marks.marks}
    photos = photos_of(page.conditions)
    return [
        ConditionPresenter(
            condition,
            entry_of(condition),
            state_text(condition),
            lines.get(condition.code) or state_line(condition.state),
            _moves(condition, user) if movable else (),
            tuple(photos.get(condition.pk, ())),
        )
        for condition in page.conditions
    ]


def _moves(condition: Condition, user: User) -> tuple[str, ...]:
    """Return the moves this person may make; taking something back comes last."""
    return tuple(sorted(moves_for(condition, user), key=lambda move: move == Condition.State.OWED))


def conditions_of(
    conditions: Iterable[ConditionPresenter], gate: str
) -> tuple[str, list[ConditionPresenter]]:
    """Return the needed conditions of one gate, those still to come about first."""
    of_gate = [c for c in conditions if c.condition.gate == gate and c.condition.holds]
    return gate, sorted(of_gate, key=lambda shown: shown.line == "solid")
