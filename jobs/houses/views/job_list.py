"""The list of jobs with how ready each is, and the sites whose place is still to be told."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _
from django.views.decorators.http import require_POST, require_safe

from contractor.access import Action, may, require, scope_of
from contractor.events import Actor
from jobs.conditions.readiness import Marks
from jobs.desk.forms import form_sentences
from jobs.desk.views.filters import Filters
from jobs.desk.views.refusal import BAD_INPUT
from jobs.desk.who import person
from jobs.houses.forms.answers import PlaceForm
from jobs.houses.queries import job_list, sites_without_place
from jobs.houses.services.customer import site_place
from jobs.models import Job, Site
from jobs.plan_ports import planned_days
from jobs.readiness.queries.outlook import JobOutlook, jobs_outlook
from jobs.whereabouts import PlannedDay, PlannedVisit, days_by_job, visits
from jobs.wording import sentence_text

JOBS_ON_A_PAGE = 50
READY = {"solid": _("ready"), "dashed": _("doubtful"), "hatched": _("not ready")}


@dataclass(frozen=True)
class JobLine:
    """One job of the list: how ready it is in words and line, and where it is on the plan."""

    job: Job
    line: str
    count: str
    first_open: str
    other_open: tuple[str, ...]
    planned: tuple[PlannedVisit, ...]


@require(Action.SEE_JOB)
@require_safe
def job_list_page(request: HttpRequest) -> HttpResponse:
    """Show the jobs that the query string asks for, each with its readiness in words."""
    return render(request, "jobs/houses/job_list.html", _list_context(request))


@require(Action.EDIT_JOB)
@require_POST
def site_place_post(request: HttpRequest, site_id: int) -> HttpResponse:
    """Take a site's coordinates."""
    site = get_object_or_404(Site.objects.visible_to(scope_of(request.user)), pk=site_id)
    form = PlaceForm(request.POST)
    problems = form_sentences(form)
    if not problems:
        try:
            site_place(
                site_id=site.pk,
                latitude=form.cleaned_data["latitude"],
                longitude=form.cleaned_data["longitude"],
                actor=Actor.of_user(person(request)),
                now=timezone.now(),
            )
        except ValidationError as error:
            problems = error.messages
    if problems:
        context = _list_context(request) | {"problems": problems, "wrong_site": site.pk}
        return render(request, "jobs/houses/job_list.html", context, status=BAD_INPUT)
    messages.success(request, gettext("%(site)s has its place on the map.") % {"site": site.name})
    return redirect("job-list")


def _list_context(request: HttpRequest) -> dict[str, object]:
    scope = scope_of(request.user)
    filters = Filters.read(request.GET)
    jobs = job_list(scope, state=filters.job_state, search=filters.text)
    outlooks = jobs_outlook(filters.of_place(jobs), [])
    shown = [o for o in outlooks if not filters.ready or line_of(o.marks) == filters.ready]
    page = Paginator(shown, JOBS_ON_A_PAGE).get_page(request.GET.get("page"))
    return {
        "filters": filters,
        "page": page,
        "lines": _lines(list(page.object_list)),
        "choices": filters.choices(scope),
        "ready_words": READY,
        "placeless": sites_without_place(scope),
        "may_edit": may(request.user, Action.EDIT_JOB),
    }


def _lines(outlooks: Sequence[JobOutlook]) -> list[JobLine]:
    jobs = Job.objects.filter(pk__in=[outlook.job.pk for outlook in outlooks])
    planned = days_by_job(planned_days(jobs))
    return [_line(outlook, planned.get(outlook.job.pk, [])) for outlook in outlooks]


def _line(outlook: JobOutlook, planned: list[PlannedDay]) -> JobLine:
    marks = outlook.marks
    sentences = tuple(sentence_text(one.sentence) for one in marks.open)
    return JobLine(
        job=outlook.job,
        line=line_of(marks),
        count=sentence_text(marks.count),
        first_open=sentences[0] if sentences else "",
        other_open=sentences[1:],
        planned=tuple(visit for visit in visits(planned) if not visit.being_changed),
    )


def line_of(marks: Marks) -> str:
    """Return the line of a whole job: hatched where one mark is, else dashed where one is."""
    lines = {mark.line for mark in marks.marks}
    return next((line for line in ("hatched", "dashed") if line in lines), "solid")
