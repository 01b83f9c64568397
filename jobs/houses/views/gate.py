"""Takes how a crew gets in at a house's site; for the job's page."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST

from contractor.access import Action, require
from contractor.events import Actor
from jobs.desk.forms import form_sentences
from jobs.desk.views.refusal import BAD_INPUT, Refusal
from jobs.desk.who import person
from jobs.houses.services.customer import site_gate_say
from jobs.houses.views.job import job_or_404, job_response


class GateForm(forms.Form):
    """Gate code, key box or nothing."""

    gate_note = forms.CharField(max_length=200, required=False, label=gettext_lazy("Gate or lock"))


@require(Action.EDIT_JOB)
@require_POST
def gate_post(request: HttpRequest, job_id: int) -> HttpResponse:
    """Take how a crew gets in; it holds for every house of the site."""
    job = job_or_404(request, job_id)
    form = GateForm(request.POST)
    if not form.is_valid():
        return job_response(request, job_id, Refusal(BAD_INPUT, tuple(form_sentences(form))))
    site_gate_say(
        site_id=job.site_id,
        gate_note=form.cleaned_data["gate_note"],
        actor=Actor.of_user(person(request)),
        now=timezone.now(),
    )
    messages.success(request, _("The gate note is saved."))
    return redirect(f"{reverse('job', args=[job_id])}#gate")
