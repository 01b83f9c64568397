"""Writes plans into the drafts of weeks, under the guard of their revisions; judges nothing."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import F

from contractor.events import Actor, event_record
from contractor.models import Branch, Event
from contractor.plan_ids import crew_plan_id, row_of, step_plan_id
from contractor.workdays import IsoWeek
from scheduling.gather.crews import machines_on
from scheduling.gather.gathered import Gathered
from scheduling.models import CrewDay, Part, Stop, Week, WeekVersion
from scheduling.planning.placing import machine_kinds
from scheduling.planning.plan import Plan, Visit
from scheduling.weeks.services.crew_day_rows import CrewDayRows, PartRow, with_kept
from scheduling.weeks.services.refusals import WeekChanged

DRAFT, POSTED = WeekVersion.State.DRAFT, WeekVersion.State.POSTED
ONE_DAY = timedelta(days=1)


def week_of(branch: Branch, week: IsoWeek) -> Week:
    """Return the row of a week, made where it is the first time that anybody asks."""
    row, _ = Week.objects.get_or_create(
        branch=branch, iso_year=week.year, iso_week=week.week, defaults={"revision": 0}
    )
    return row


def week_revise(week: Week, expected: int) -> None:
    """Raise the week's revision by one; WeekChanged when it is not the expected one.

    One conditional UPDATE: of two who saw the same revision one gets through.
    """
    rows = Week.objects.filter(pk=week.pk, revision=expected)
    if not rows.update(revision=F("revision") + 1):
        raise week_changed(week)
    week.revision = expected + 1


def week_changed(week: Week) -> WeekChanged:
    """Return the refusal that says who changed the week last, and when."""
    last = Event.objects.filter(noun="week", noun_id=str(week.pk)).first()
    if last is None:
        return WeekChanged(week.label)
    zone = ZoneInfo(week.branch.time_zone)
    return WeekChanged(week.label, last.who, last.at.astimezone(zone))


def week_event(
    *, actor: Actor, now: datetime, verb: str, week: Week, what: dict[str, Any] | None = None
) -> None:
    """Record a change of a week with the revision that it led to."""
    what = {"week": week.label, "revision": week.revision, **(what or {})}
    event_record(actor=actor, now=now, verb=verb, thing=week, branch=week.branch, what=what)


def weeks_touched(gathered: Gathered, plan: Plan) -> list[IsoWeek]:
    """Return the weeks in which a plan differs from the one that counts now."""
    days_now, days_new = _by_day(gathered, gathered.plan), _by_day(gathered, plan)
    changed = {
        IsoWeek.of(day) for day in {*days_now, *days_new} if days_now.get(day) != days_new.get(day)
    }
    return sorted(changed)


def draft_write(
    *, week: Week, gathered: Gathered, plan: Plan, today: date, now: datetime
) -> WeekVersion:
    """Make the week's draft hold the plan; the days gone by stay as they were posted.

    So does what is over of a day of which only the rest was planned. Crew-days that do not change
    keep their rows. Returns the draft. The caller has raised the revision.
    """
    draft, _ = WeekVersion.objects.get_or_create(
        week=week, state=DRAFT, defaults={"created_at": now}
    )
    posted = WeekVersion.objects.filter(week=week, state=POSTED).first()
    wanted = [
        *(row for row in (_stored(posted) if posted else {}).values() if row.day < today),
        *with_kept(_planned(gathered, plan, week), gathered, week),
    ]
    _replace(draft, {(row.crew_id, row.day): row for row in wanted})
    _name_machines(draft, gathered, {(row.crew_id, row.day): row for row in wanted}, today)
    return draft


def _by_day(gathered: Gathered, plan: Plan) -> dict[date, frozenset[Visit]]:
    days: defaultdict[date, set[Visit]] = defaultdict(set)
    for visit in plan.visits:
        days[gathered.days[visit.day]].add(visit)
    return {day: frozenset(visits) for day, visits in days.items()}


def _planned(gathered: Gathered, plan: Plan, week: Week) -> list[CrewDayRows]:
    whole = _step_minutes(gathered, plan)
    return [
        CrewDayRows(
            crew_id=row_of(visit.crew),
            day=gathered.days[visit.day],
            stops=tuple(
                (
                    row_of(stop.job),
                    tuple(
                        PartRow(
                            row_of(part.step), part.minutes, max(part.minutes, whole[part.step])
                        )
                        for part in stop.parts
                    ),
                )
                for stop in visit.stops
            ),
            machine_kinds=machine_kinds(gathered.problem, visit),
        )
        for visit in plan.visits
        if IsoWeek.of(gathered.days[visit.day]) == week.iso
    ]


def _step_minutes(gathered: Gathered, plan: Plan) -> dict[str, int]:
    """What each whole step takes its crew.

    Parts that stay keep the figure under which they were planned; a step that is planned anew
    has that of today: what is left of it counts with what is done or placed elsewhere.
    """
    kept = {
        (
            step_plan_id(part.step_id),
            crew_plan_id(part.crew_id),
            part.day,
            part.minutes,
        ): part.step_minutes
        for part in gathered.rows.placements.effective
    }
    found: dict[str, int] = {}
    for visit, _, part in plan.parts():
        key = (part.step, visit.crew, gathered.days[visit.day], part.minutes)
        found[part.step] = kept.get(key) or gathered.whole_minutes(part.step, visit.crew)
    return found


def _stored(version: WeekVersion) -> dict[tuple[int, date], CrewDayRows]:
    crew_days = version.crew_days.prefetch_related("stops__parts__step")
    return {
        (crew_day.crew_id, crew_day.date): CrewDayRows(
            crew_id=crew_day.crew_id,
            day=crew_day.date,
            stops=tuple(
                (
                    stop.job_id,
                    tuple(
                        PartRow(part.step_id, part.minutes, part.step_minutes)
                        for part in sorted(stop.parts.all(), key=lambda part: part.step.position)
                    ),
                )
                for stop in crew_day.stops.all()
            ),
            machine_kinds=_needed_kinds(crew_day),
        )
        for crew_day in crew_days
    }


def _needed_kinds(crew_day: CrewDay) -> tuple[str, ...]:
    steps = [part.step for stop in crew_day.stops.all() for part in stop.parts.all()]
    return tuple(sorted({step.machine_kind for step in steps if step.machine_kind}))


def _replace(draft: WeekVersion, wanted: Mapping[tuple[int, date], CrewDayRows]) -> None:
    stored = _stored(draft)
    unchanged = {key for key, row in stored.items() if wanted.get(key) == row}
    for crew_day in draft.crew_days.all():
        if (crew_day.crew_id, crew_day.date) not in unchanged:
            crew_day.delete()
    _insert(draft, [row for key, row in wanted.items() if key not in unchanged])


def _insert(draft: WeekVersion, rows: Sequence[CrewDayRows]) -> None:
    crew_days = CrewDay.objects.bulk_create(
        CrewDay(version=draft, crew_id=row.crew_id, date=row.day) for row in rows
    )
    pairs = [
        (Stop(crew_day=crew_day, job_id=job_id, position=position), parts)
        for crew_day, row in zip(crew_days, rows, strict=True)
        for position, (job_id, parts) in enumerate(row.stops, start=1)
    ]
    Stop.objects.bulk_create(stop for stop, _ in pairs)
    Part.objects.bulk_create(
        Part(
            stop=stop,
            step_id=part.step_id,
            minutes=part.minutes,
            step_minutes=part.step_minutes,
        )
        for stop, parts in pairs
        for part in parts
    )


def _name_machines(
    draft: WeekVersion,
    gathered: Gathered,
    wanted: Mapping[tuple[int, date], CrewDayRows],
    today: date,
) -> None:
    """Give each crew-day its machines: crews by name, machines by name, on each day anew.

    Days gone by keep the machines that they were posted with, and so does a day that has begun.
    """
    through = CrewDay.machines.through
    crew_days = list(draft.crew_days.select_related("crew").order_by("date", "crew__name", "pk"))
    through.objects.filter(crewday__version=draft).delete()
    past = _machines_gone_by(draft.week, today if gathered.rest is None else today + ONE_DAY)
    free = {} if gathered.rest is None else _left_in_yard(gathered, past, today)
    links = []
    for crew_day in crew_days:
        key = (crew_day.crew_id, crew_day.date)
        taken = past.get(key, [])
        if crew_day.date >= today and not taken:
            taken = list(_next_free(gathered, free, crew_day.date, wanted[key].machine_kinds))
        links += [through(crewday_id=crew_day.pk, machine_id=machine) for machine in taken]
    through.objects.bulk_create(links)


def _next_free(
    gathered: Gathered,
    free: dict[tuple[date, str], list[int]],
    day: date,
    kinds: Iterable[str],
) -> Iterable[int]:
    for kind in kinds:
        if (day, kind) not in free:
            there = machines_on(gathered.rows.machines, gathered.rows.off, kind, day)
            free[day, kind] = [machine.pk for machine in there]
        if free[day, kind]:
            yield free[day, kind].pop(0)


def _left_in_yard(
    gathered: Gathered, on_trucks: Mapping[tuple[int, date], list[int]], today: date
) -> dict[tuple[date, str], list[int]]:
    """The machines by kind that no crew took along on a day that has begun."""
    gone = {pk for (_, day), machines in on_trucks.items() if day == today for pk in machines}
    rows = gathered.rows
    kinds = {machine.kind for machine in rows.machines}
    return {
        (today, kind): [
            m.pk for m in machines_on(rows.machines, rows.off, kind, today) if m.pk not in gone
        ]
        for kind in kinds
    }


def _machines_gone_by(week: Week, before: date) -> dict[tuple[int, date], list[int]]:
    found: defaultdict[tuple[int, date], list[int]] = defaultdict(list)
    rows = CrewDay.objects.filter(version__week=week, version__state=POSTED, date__lt=before)
    for crew_id, day, machine in rows.values_list("crew_id", "date", "machines"):
        if machine is not None:
            found[crew_id, day].append(machine)
    return found
