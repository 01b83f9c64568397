"""The page on which a job is typed in."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from contractor.access import Action, Scope, require, scope_of
from contractor.events import Actor
from contractor.models import Branch
from jobs.desk.views.filters import Choices, Filters
from jobs.desk.views.refusal import BAD_INPUT
from jobs.desk.who import person, today_of
from jobs.houses.forms.job_new import JobNewForm
from jobs.houses.services.job import job_create
from jobs.models import Superintendent
from jobs.wording import word


@require(Action.EDIT_JOB)
@require_http_methods(["GET", "HEAD", "POST"])
def job_new(request: HttpRequest) -> HttpResponse:
    """Show the empty form; posted, make the job and go on to it."""
    scope, now = scope_of(request.user), timezone.now()
    choices = Filters().choices(scope)
    form = JobNewForm(
        request.POST if request.method == "POST" else None,
        branches=_branches(scope),
        builders=[builder.name for builder in choices.builders],
        today=today_of(person(request), now),
    )
    if request.method != "POST":
        return _answer(request, form, choices)
    if not form.is_valid():
        return _answer(request, form, choices, BAD_INPUT)
    try:
        actor = Actor.of_user(person(request))
        job = job_create(**form.cleaned_data, actor=actor, now=now)
    except ValidationError as error:
        _refuse(form, error)
        return _answer(request, form, choices, BAD_INPUT)
    messages.success(request, _("%(job)s is made. Now measure its spaces.") % {"job": job})
    return redirect("space-new", job.pk)


def _branches(scope: Scope) -> list[Branch]:
    branches = Branch.objects.order_by("name")
    if not scope.all_branches:
        branches = branches.filter(pk__in=scope.branch_ids)
    return list(branches)


def _refuse(form: JobNewForm, error: ValidationError) -> None:
    """Lay faults of the rows at their fields; two jobs of one unit are a fault of the unit."""
    for name, faults in error.message_dict.items():
        for fault in faults:
            if name == "__all__" and "Unit" in fault:
                form.add_error("unit", _unit_taken(form.cleaned_data["unit"]))
            else:
                form.add_error(name if name in form.fields else None, word(fault))


def _unit_taken(unit: str) -> str:
    if unit:
        return _("This site has a job of that unit already.")
    return _("This site has a job already. To make a second one, say its lot or unit.")


def _answer(
    request: HttpRequest, form: JobNewForm, choices: Choices, status: int = 200
) -> HttpResponse:
    context = {
        "form": form,
        "choices": choices,
        "superintendents": _superintendents(choices),
    }
    return render(request, "jobs/houses/job_new.html", context, status=status)


def _superintendents(choices: Choices) -> list[str]:
    people = Superintendent.objects.filter(sites__in=choices.sites).order_by("name")
    return list(people.values_list("name", flat=True).distinct())
