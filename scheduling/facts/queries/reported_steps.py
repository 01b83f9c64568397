"""What crews said of a house's steps, with what an office set right; changes nothing."""

from collections.abc import Iterable

from django.urls import reverse

from jobs.estimates.outcome import ORDER
from jobs.estimating import loads_read
from jobs.models import Job, Step
from jobs.rates.actual_ratios import bags_in
from jobs.reported_steps import ReportedFigures, ReportedStep, SetRight, StepReport
from scheduling.models import Fact
from scheduling.progress.todo import BAGS_OFF, MINUTES_OFF
from scheduling.progress.took import Report, Took, report_of_figures, times_off, took


def reported_steps(job: Job) -> tuple[ReportedStep, ...]:
    """Return the reports of each kind of step of a job; two statements, its steps loaded."""
    facts = Fact.objects.filter(job=job, kind=Fact.Kind.FINISHED).select_related("crew")
    of_kind: dict[str, list[Fact]] = {}
    for fact in facts.order_by("happened_at", "id").prefetch_related("corrections"):
        of_kind.setdefault(fact.step_kind, []).append(fact)
    steps = {step.kind: step for step in job.steps.all()}
    kinds = sorted(of_kind, key=ORDER.index)
    return tuple(_step(kind, of_kind[kind], steps.get(kind)) for kind in kinds)


def _step(kind: str, facts: Iterable[Fact], step: Step | None) -> ReportedStep:
    known = list(facts)
    counting = took(map(report_of, known))
    ids = {report.fact for report in counting.reports} if counting else set()
    return ReportedStep(
        kind=kind,
        reports=tuple(_report(fact, str(fact.pk) in ids) for fact in known),
        is_whole=counting is not None and counting.is_whole,
        times=_times(counting, step) if counting and step else {},
    )


def _times(counting: Took, step: Step) -> dict[str, float]:
    """Take of a step that is not done yet only what is too much already."""
    times = {
        "minutes": times_off(counting.minutes, step.minutes_by_people.pair, MINUTES_OFF),
        "bags": times_off(counting.bags, bags_in(loads_read(step.loads)), BAGS_OFF),
    }
    return {
        name: value
        for name, value in times.items()
        if value is not None and (counting.is_whole or value > 1)
    }


def report_of(fact: Fact) -> Report:
    """Return the end of a step, corrected figures over what was said."""
    return report_of_figures(
        fact.figures, fact=str(fact.pk), crew=fact.crew_id, day=fact.day, at=fact.happened_at
    )


def _report(fact: Fact, counts: bool) -> StepReport:
    newest = list(fact.corrections.all())[-1:]
    return StepReport(
        crew=fact.crew.name,
        day=fact.day,
        at=fact.happened_at,
        who=fact.who,
        said=_figures(fact.what),
        holds=_figures(fact.figures),
        counts=counts,
        address=reverse("fact-correct", args=[fact.pk]),
        corrected=next((SetRight(c.who, c.corrected_at, c.reason) for c in newest), None),
    )


def _figures(told: dict[str, object]) -> ReportedFigures:
    report = report_of_figures(told)
    return ReportedFigures(report.minutes, report.bags, report.depths_in, report.whole)
