"""The record of builders' dates and reports, and the forecasts drawn from it; writes nothing."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from django.db.models import Case, Count, Max, Q, QuerySet, When

from contractor.access import Scope
from contractor.models import Branch, Holiday
from contractor.workdays import WorkCalendar
from jobs.conditions.calibration import IDENTITY, Calibration, PastVisit, calibration_of
from jobs.conditions.chance import Forecast, Odds, odds_of
from jobs.conditions.record import PROMISE, READY_DATE, History
from jobs.localtime import work_calendar
from jobs.models import Builder, Condition, Finding, Job, PromiseOutcome, Site

BUILDER = "condition__job__site__builder"
MOST_FINDINGS = 50


@dataclass(frozen=True)
class Records:
    """The history of every builder that has one, by id."""

    of_builder: Mapping[int, History]

    @cached_property
    def company(self) -> History:
        """All builders together."""
        return sum(self.of_builder.values(), History())

    def builder(self, builder_id: int) -> History:
        """Return one builder's history; an empty one where nothing is on record."""
        return self.of_builder.get(builder_id, History())

    def odds(self, builder_id: int) -> Odds:
        """Return what a builder's words are worth."""
        return odds_of(self.builder(builder_id), self.company)


def records_read() -> Records:
    """Return every builder's history, over all branches; one statement."""
    promises: dict[int, Counter[int]] = defaultdict(Counter)
    ready: dict[int, Counter[int]] = defaultdict(Counter)
    reports: dict[int, Counter[bool]] = defaultdict(Counter)
    for builder, kind, slip_days, found_true, *_, worst, n in _counted():
        if kind == PROMISE:
            promises[builder][slip_days] += n
        elif kind == READY_DATE:
            ready[builder][worst] += 1
        else:
            reports[builder][found_true] += n
    return Records(
        {
            builder: History(
                promises[builder],
                ready[builder],
                reports[builder][True],
                reports[builder][False],
            )
            for builder in {*promises, *ready, *reports}
        }
    )


def _counted() -> QuerySet[PromiseOutcome, tuple[Any, ...]]:
    """Count outcomes that are alike; a ready date of a house is one, by its worst slip."""
    of_house = Q(kind=READY_DATE)
    alike = (
        Case(When(of_house, then=None), default="slip_days"),
        "found_true",
        Case(When(of_house, then="condition__job")),
        Case(When(of_house, then="said")),
    )
    grouped = PromiseOutcome.objects.order_by().values_list(BUILDER, "kind", *alike)
    return grouped.annotate(worst=Max("slip_days"), n=Count("pk"))


def calibration_read() -> Calibration:
    """Return the fit to all visits on record; of findings of one house's day the last counts."""
    last = Finding.objects.order_by().values("job", "day").annotate(last=Max("pk")).values("last")
    visits = Finding.objects.filter(pk__in=last).order_by("pk")
    return calibration_of(PastVisit(*row) for row in visits.values_list("stated", "could_start"))


@dataclass(frozen=True)
class Forecasts:
    """The forecasts of some days for the houses of every builder and branch."""

    days: tuple[date, ...]
    today: date
    records: Records
    calibration: Calibration
    calendars: Mapping[int, WorkCalendar]
    _made: dict[tuple[int, int], Forecast]

    def of(self, job: Job) -> Forecast:
        """Return the forecast for a job whose site is loaded."""
        key = (job.site.builder_id, job.site.branch_id)
        if key not in self._made:
            self._made[key] = Forecast(
                days=self.days,
                today=self.today,
                work=self.calendars[job.site.branch_id],
                odds=self.records.odds(job.site.builder_id),
                calibration=self.calibration,
            )
        return self._made[key]


def forecasts_read(
    branches: Iterable[Branch],
    days: Sequence[date],
    today: date | None = None,
    work: WorkCalendar | None = None,
    calibration: Calibration | None = None,
) -> Forecasts:
    """Return the forecasts of the days; at most three statements, none where there is no day.

    today: the day from which lead times count, the first of the days when left out. work: the
    calendar of all these branches, calibration: how chances are set right; each is read where it
    is left out.
    """
    known = list(branches)
    if not days:
        calendars = dict.fromkeys((branch.pk for branch in known), WorkCalendar())
        return Forecasts((), date.min, Records({}), IDENTITY, calendars, {})
    same = dict.fromkeys((branch.pk for branch in known), work) if work else None
    return Forecasts(
        days=tuple(days),
        today=today or days[0],
        records=records_read(),
        calibration=calibration_read() if calibration is None else calibration,
        calendars=same or _calendars(known),
        _made={},
    )


def _calendars(branches: Collection[Branch]) -> dict[int, WorkCalendar]:
    holidays: dict[int, list[date]] = defaultdict(list)
    rows = Holiday.objects.filter(branch__in={branch.pk for branch in branches})
    for branch_id, day in rows.values_list("branch_id", "date"):
        holidays[branch_id].append(day)
    return {branch.pk: work_calendar(branch, holidays[branch.pk]) for branch in branches}


@dataclass(frozen=True)
class FindingLine:
    """What a crew found, with what was missing by the names of the house's own conditions."""

    finding: Finding
    missing: tuple[str, ...]


@dataclass(frozen=True)
class BuilderRecord:
    """What a builder's page shows.

    The history and the odds are of all yards, what became of each date or report of those that
    the person sees, the newest first; by_kind: the conditions' names, each with its slips.
    """

    builder: Builder
    history: History
    odds: Odds
    outcomes: tuple[PromiseOutcome, ...]
    by_kind: tuple[tuple[str, Counter[int]], ...]
    findings: tuple[FindingLine, ...]


def findings_named(findings: Iterable[Finding]) -> list[FindingLine]:
    """Name what each finding missed; one statement. What the house no longer has keeps its code."""
    found = list(findings)
    rows = Condition.objects.filter(job__in={finding.job_id for finding in found})
    names = {(row.job_id, row.code): row.name for row in rows.only("job_id", "code", "name")}
    return [
        FindingLine(one, tuple(names.get((one.job_id, code), code) for code in one.missing))
        for one in found
    ]


def builders_visible(scope: Scope) -> QuerySet[Builder]:
    """Return the builders that have a site within the scope."""
    sites = Site.objects.visible_to(scope).values("builder")
    return Builder.objects.filter(pk__in=sites)


def builder_record(scope: Scope, builder: Builder) -> BuilderRecord:
    """Return a builder's record; four statements."""
    records = records_read()
    jobs = Job.objects.visible_to(scope).filter(site__builder=builder)
    outcomes = PromiseOutcome.objects.filter(condition__job__in=jobs)
    given = outcomes.select_related("condition__job__site").order_by("-said", "-pk")
    by_kind: dict[str, Counter[int]] = defaultdict(Counter)
    for outcome in given:
        if outcome.slip_days is not None:
            by_kind[outcome.condition.name][outcome.slip_days] += 1
    findings = Finding.objects.filter(job__in=jobs).select_related("job__site")
    return BuilderRecord(
        builder=builder,
        history=records.builder(builder.pk),
        odds=records.odds(builder.pk),
        outcomes=tuple(given),
        by_kind=tuple(sorted(by_kind.items())),
        findings=tuple(findings_named(findings.order_by("-day", "-pk")[:MOST_FINDINGS])),
    )
