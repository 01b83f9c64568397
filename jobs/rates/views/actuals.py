"""What a step took: its form, what was entered before, and what is posted there."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from contractor.access import Action, require, scope_of
from contractor.events import Actor
from jobs.desk.forms import form_sentences
from jobs.desk.views.refusal import BAD_INPUT
from jobs.desk.who import person
from jobs.estimates.branch_rates import BLOWN
from jobs.estimating import loads_read
from jobs.localtime import local_date
from jobs.models import Job, Step
from jobs.rates.actual_ratios import bags_in
from jobs.rates.forms import ActualForm
from jobs.rates.queries import ratio_of, step_history
from jobs.rates.services.actuals import actual_enter


@require(Action.ENTER_ACTUAL)
@require_http_methods(["GET", "HEAD", "POST"])
def actual_page(request: HttpRequest, job_id: int, step_id: int) -> HttpResponse:
    """Show what was entered of a step, with the form for what it took; or take it."""
    step = _step_or_404(request, job_id, step_id)
    if request.method != "POST":
        return _page(request, step, _form(step))
    form = _form(step, request.POST)
    problems = form_sentences(form)
    if not problems:
        try:
            actual_enter(
                step_id=step.pk,
                **form.arguments(),
                actor=Actor.of_user(person(request)),
                now=timezone.now(),
            )
        except ValidationError as error:
            problems = list(error.messages)
    if problems:
        return _page(request, step, form, BAD_INPUT, problems=problems)
    messages.success(request, _("What the step took is kept beside its estimate."))
    return redirect(reverse("job", args=[job_id]) + "#actuals")


def _step_or_404(request: HttpRequest, job_id: int, step_id: int) -> Step:
    jobs = Job.objects.visible_to(scope_of(request.user))
    steps = Step.objects.select_related("job__site__branch", "job__site__builder")
    return get_object_or_404(steps, pk=step_id, job=job_id, job__in=jobs)


def _form(step: Step, data: Any = None) -> ActualForm:
    branch = step.job.site.branch
    held = step.actuals.first()
    today = local_date(branch, timezone.now())
    names = ("crew", "machine", "people", "minutes", "bags", "worked_on", "note")
    initial = {name: getattr(held, name) for name in names} if held else {"worked_on": today}
    return ActualForm(
        data,
        branch=branch,
        blown=step.kind in BLOWN,
        bagged=bags_in(loads_read(step.loads)) is not None,
        initial=initial,
    )


def _page(
    request: HttpRequest, step: Step, form: ActualForm, status: int = 200, **context: Any
) -> HttpResponse:
    given = {
        "step": step,
        "job": step.job,
        "form": form,
        "bags": bags_in(loads_read(step.loads)),
        "crew_minutes": sorted(step.minutes_by_people.by_people.items()),
        "history": [(actual, ratio_of(actual)) for actual in step_history(step)],
    }
    return render(request, "jobs/rates/actuals_step.html", given | context, status=status)
