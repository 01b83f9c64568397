"""Takes who lives in a house and how to reach the person; for the job's page."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from contractor.access import Action, require
from contractor.events import Actor
from jobs.desk.forms import form_sentences
from jobs.desk.services import Stale
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT, Refusal
from jobs.desk.who import person
from jobs.houses.forms.owner import OwnerForm
from jobs.houses.services.job import job_update
from jobs.houses.views.job import job_or_404, job_response


@require(Action.EDIT_JOB)
@require_POST
def owner_post(request: HttpRequest, job_id: int) -> HttpResponse:
    """Take the owner of the house, all of it at once; empty fields take the owner away."""
    job_or_404(request, job_id)
    form = OwnerForm(request.POST)
    if not form.is_valid():
        return job_response(request, job_id, Refusal(BAD_INPUT, tuple(form_sentences(form))))
    try:
        job_update(
            job_id=job_id,
            version=form.cleaned_data["version"],
            changes=form.changes(),
            actor=Actor.of_user(person(request)),
            now=timezone.now(),
        )
    except Stale:
        words = _("Somebody changed this job meanwhile. Below is how it is now.")
        return job_response(request, job_id, Refusal(CONFLICT, (words,)))
    except ValidationError as error:
        return job_response(request, job_id, Refusal(BAD_INPUT, tuple(error.messages)))
    messages.success(request, _("The owner of the house is saved."))
    return redirect("job", job_id)
