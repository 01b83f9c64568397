"""Pages of builders' records, and the form for what a crew found."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from contractor.access import Action, require, scope_of
from contractor.events import Actor
from jobs.conditions.record import evidence, report_evidence
from jobs.conditions.states import MoveRefused
from jobs.desk.forms import form_sentences
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT
from jobs.desk.who import person
from jobs.localtime import local_date
from jobs.models import Job
from jobs.plan_ports import lost_time
from jobs.record.forms import FindingForm
from jobs.record.queries import (
    BuilderRecord,
    builder_record,
    builders_visible,
    findings_named,
    records_read,
)
from jobs.record.services.finding import finding_record
from jobs.record.views.plot import plot_of
from jobs.wording import sentence_text, word

# Days after the date for which the page gives the chance.
SHOWN_DAYS = (0, 1, 2, 5, 10)
MOST_DATES = 200


@require(Action.SEE_READINESS)
@require_safe
def builders_page(request: HttpRequest) -> HttpResponse:
    """List the builders, each with how it kept its dates and what a promise of it is worth."""
    records = records_read()
    builders = [
        {
            "builder": builder,
            "evidence": evidence(records.builder(builder.pk).promises),
            "percent": _percent(records.odds(builder.pk).promise[0]),
        }
        for builder in builders_visible(scope_of(request.user))
    ]
    return render(request, "jobs/record/builders.html", {"builders": builders})


@require(Action.SEE_READINESS)
@require_safe
def builder_page(request: HttpRequest, builder_id: int) -> HttpResponse:
    """Show a builder's dates kept and broken, by kind, and the chances that follow."""
    scope = scope_of(request.user)
    builder = get_object_or_404(builders_visible(scope), pk=builder_id)
    record = builder_record(scope, builder)
    dated = [outcome for outcome in record.outcomes if outcome.slip_days is not None][:MOST_DATES]
    plot = plot_of([(outcome.said, outcome.slip_days or 0) for outcome in dated])
    given = {
        "builder": builder,
        "record": record,
        "chances": _chances(record),
        "shown_days": SHOWN_DAYS,
        "report_percent": _percent(record.odds.report),
        "report_evidence": report_evidence(record.history),
        "kinds": [(word(name), evidence(slips)) for name, slips in record.by_kind],
        "dated": dated,
        "plot": plot,
        "points": list(zip(plot.points, dated, strict=True)) if plot else [],
        "findings": record.findings,
        "lost": lost_time(scope, builder_id=builder.pk),
    }
    return render(request, "jobs/record/builder.html", given)


@require(Action.MOVE_CONDITION)
@require_http_methods(["GET", "HEAD", "POST"])
def finding_page(request: HttpRequest, job_id: int) -> HttpResponse:
    """Show the form for what a crew found at a house; or take it."""
    jobs = Job.objects.visible_to(scope_of(request.user)).select_related("site__branch")
    job = get_object_or_404(jobs, pk=job_id)
    now = timezone.now()
    if request.method != "POST":
        form = FindingForm(job=job, initial={"day": local_date(job.site.branch, now)})
        return _finding(request, job, form)
    form, status = FindingForm(request.POST, job=job), BAD_INPUT
    problems = form_sentences(form)
    if not problems:
        actor = Actor.of_user(person(request))
        try:
            finding_record(job_id=job.pk, **form.arguments(), actor=actor, now=now)
        except ValidationError as error:
            problems = [word(message) for message in error.messages]
        except MoveRefused as refused:
            problems, status = [sentence_text(refused.sentence)], CONFLICT
    if problems:
        return _finding(request, job, form, status, problems=problems)
    messages.success(request, _("What the crew found is on record."))
    return redirect("job", job.pk)


def _finding(
    request: HttpRequest, job: Job, form: FindingForm, status: int = 200, **context: Any
) -> HttpResponse:
    given = {"job": job, "form": form, "findings": findings_named(job.findings.order_by("-pk"))}
    return render(request, "jobs/record/finding.html", given | context, status=status)


def _chances(record: BuilderRecord) -> list[dict[str, object]]:
    """Return for each kind of date the chances by so many working days after it, with evidence."""
    kinds = (
        (_("A promise of a condition"), record.odds.promise_by, record.history.promises),
        (_("A ready date of a house"), record.odds.ready_by, record.history.ready_dates),
    )
    return [
        {
            "name": name,
            "percents": [_percent(by[days]) for days in SHOWN_DAYS],
            "evidence": evidence(slips),
        }
        for name, by, slips in kinds
    ]


def _percent(chance: float) -> int:
    return round(100 * chance)
