"""What is posted on a job's page to add or strike one of its conditions."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from contractor.access import Action, require
from contractor.events import Actor
from jobs.conditions.states import MoveRefused
from jobs.desk.services import Stale
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT, Refusal, someone_was_quicker
from jobs.desk.who import person
from jobs.houses.views.job import job_or_404, job_response
from jobs.models import CatalogueItem, Condition
from jobs.readiness.services.by_hand import condition_add, condition_strike, condition_unstrike
from jobs.wording import sentence_text


@require(Action.EDIT_JOB)
@require_POST
def add_post(request: HttpRequest, job_id: int) -> HttpResponse:
    """Add a condition of the catalogue to the job, with a reason."""
    job = job_or_404(request, job_id)
    number = request.POST.get("item", "")
    items = CatalogueItem.objects.active()
    item = items.filter(pk=int(number)).first() if _is_number(number) else None
    if item is None:
        words = _("Choose a condition of the catalogue.")
        return job_response(request, job_id, Refusal(BAD_INPUT, (words,)))
    return _taken(
        request,
        job_id,
        lambda: condition_add(
            job_id=job.pk,
            item_id=item.pk,
            reason=request.POST.get("reason", ""),
            actor=Actor.of_user(person(request)),
            now=timezone.now(),
        ),
    )


@require(Action.EDIT_JOB)
@require_POST
def strike_post(request: HttpRequest, job_id: int, condition_id: int) -> HttpResponse:
    """Strike a condition from the job with a reason, or bring a struck one back."""
    job = job_or_404(request, job_id)
    row = get_object_or_404(Condition, pk=condition_id, job=job)
    number = request.POST.get("version", "")
    if not _is_number(number):
        words = _("Say of which version.")
        return job_response(request, job_id, Refusal(BAD_INPUT, (words,)))
    version, actor, now = int(number), Actor.of_user(person(request)), timezone.now()
    if request.POST.get("back"):
        return _taken(
            request,
            job_id,
            lambda: condition_unstrike(condition_id=row.pk, version=version, actor=actor, now=now),
        )
    reason = request.POST.get("reason", "")
    return _taken(
        request,
        job_id,
        lambda: condition_strike(
            condition_id=row.pk, version=version, reason=reason, actor=actor, now=now
        ),
    )


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 10


def _taken(request: HttpRequest, job_id: int, service: Callable[[], Condition]) -> HttpResponse:
    """Call the service; its refusal is a sentence above the job."""
    try:
        service()
    except MoveRefused as refused:
        return job_response(request, job_id, Refusal(CONFLICT, (sentence_text(refused.sentence),)))
    except Stale as stale:
        words = someone_was_quicker(stale.present)
        return job_response(request, job_id, Refusal(CONFLICT, (words,)))
    messages.success(request, _("Saved."))
    return redirect(f"{reverse('job', args=[job_id])}#conditions")
