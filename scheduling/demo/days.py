"""Crew-days of the last working day and today with what the invented crews said of them so far."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from itertools import product
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from contractor.access import Scope
from contractor.events import Actor
from contractor.models import Branch, Crew, Event, User
from contractor.workdays import IsoWeek, WorkCalendar
from jobs.conditions.states import REPORTED_DONE, SEEN_DONE, Grounds
from jobs.estimates.targets import depth_targets
from jobs.imports.services import import_apply
from jobs.localtime import branch_calendar
from jobs.models import Condition, Job, Site, Space
from jobs.readiness.services.condition import condition_move
from scheduling.crew_days.queries.days import DayStatus, day_status
from scheduling.demo.sheet import demo_day_rows, next_monday, sheet_bytes
from scheduling.facts.services.facts import facts_take
from scheduling.models import Week
from scheduling.progress import PlannedStop, VisitTimes
from scheduling.weeks.services.moves import stop_place
from scheduling.weeks.services.posting import week_post
from scheduling.weeks.services.refusals import StopMoveRefused

ALL = Scope(all_branches=True)
CREWS = 3
# How the depths at three markers lie to the depth that was asked for.
DEPTHS_OFF_IN = (0.0, 0.5, -0.25)
# A nought too many: the office finds it on Today and corrects it.
THUMB = 10
Fact = dict[str, Any]


def days_load(*, branch: Branch, today: date, actor: Actor, now: datetime) -> None:
    """Post the last working day and today for three crews, and let them say how it goes.

    On a day off the next working day of the week stands for today; the coming week is planned
    and posted already.
    """
    days = report_days(branch_calendar(branch), today)
    crews = list(Crew.objects.filter(branch=branch, active=True).order_by("pk")[:CREWS])
    rows = demo_day_rows(monday=days[0], houses=len(days) * len(crews))
    import_apply(content=sheet_bytes(rows), scope=ALL, actor=actor, now=now)
    jobs = list(Job.objects.filter(site__in=_sites(rows)).order_by("pk"))
    _report(jobs, now - timedelta(days=4))
    left = iter(jobs)
    for day in days:
        for crew in crews:
            _place(next(left), crew, day, branch=branch, actor=actor, now=now)
        _post(branch, day, actor=actor, now=now)
    for number, (day, crew) in enumerate(product(days, crews)):
        _say(crew, day, number, now)


def report_days(calendar: WorkCalendar, today: date) -> list[date]:
    """Return the last working day before today, and today or the next one of this week."""
    before, now = calendar.previous_working(today), calendar.on_or_after(today)
    return [before, now] if now < next_monday(today) else [before]


def _sites(rows: list[dict[str, str]]) -> list[int]:
    names = {row["site"] for row in rows}
    return list(Site.objects.filter(name__in=names).values_list("pk", flat=True))


def _report(jobs: list[Job], now: datetime) -> None:
    """Report all done, and let Saul look at most of it; the rest is the crews' to see."""
    saul = Actor.of_user(User.objects.get(username="saul"), Event.Source.PHONE)
    paper = Grounds(document="paper no. 17 in the job folder")
    for job in jobs:
        builder = Actor(who=str(job.site.superintendent), source=Event.Source.LINK)
        owed = list(job.conditions.exclude(owed_by="us").exclude(gate="close").order_by("pk"))
        blocks = [condition.pk for condition in owed if condition.gate == "block"]
        for condition in owed:
            _move(condition, REPORTED_DONE, Grounds(), builder, now)
            if condition.pk not in blocks[:1]:
                _move(condition, SEEN_DONE, paper, saul, now)


def _move(row: Condition, to_state: str, grounds: Grounds, actor: Actor, now: datetime) -> None:
    condition_move(
        condition_id=row.pk,
        version=row.version,
        to_state=to_state,
        grounds=grounds,
        actor=actor,
        now=now,
    )
    row.refresh_from_db()


def _place(job: Job, crew: Crew, day: date, *, branch: Branch, actor: Actor, now: datetime) -> None:
    """Place a house, unless the yard does not work that day."""
    try:
        stop_place(
            actor=actor,
            branch=branch,
            job_id=job.pk,
            crew=crew,
            day=day,
            expected={},
            now=now,
            today=day,
        )
    except StopMoveRefused:
        return


def _post(branch: Branch, day: date, *, actor: Actor, now: datetime) -> None:
    week = IsoWeek.of(day)
    row = Week.objects.filter(branch=branch, iso_year=week.year, iso_week=week.week).first()
    if row is None or not row.versions.filter(state="draft").exists():
        return
    week_post(
        actor=actor,
        branch=branch,
        week=week,
        expected=row.revision,
        now=now,
        today=day,
        all_the_same=True,
    )


def _say(crew: Crew, day: date, number: int, now: datetime) -> None:
    """Let the crew's lead say all that has happened by now."""
    status = day_status(scope=ALL, crew_id=crew.pk, day=day)
    lead = User.objects.filter(crew_member__crew=crew, crew_member__is_lead=True).first()
    if status is None or lead is None:
        return
    said = [fact for fact in _told(status, number) if datetime.fromisoformat(fact["at"]) <= now]
    facts_take(person=lead, phone=None, facts=said, sent_at=now, now=now)


def _told(status: DayStatus, number: int) -> Iterator[Fact]:
    """Yield what a lead says in the course of a day; every fifth house turns its crew away."""
    for stop in status.plan.stops:
        visit = status.page.times.of(stop.job)
        facts = list(_visit(stop, visit, is_shut=number % 5 == 1, slips=number == 0))
        for index, fact in enumerate(facts):
            name = f"baywright demo {status.plan.crew} {status.plan.day} {stop.job} {index}"
            yield fact | {
                "id": str(uuid5(NAMESPACE_URL, name)),
                "crew": status.plan.crew,
                "day": status.plan.day.isoformat(),
                "job": stop.job,
                "seen_version": status.page.version_id,
            }


def _visit(stop: PlannedStop, visit: VisitTimes, *, is_shut: bool, slips: bool) -> Iterator[Fact]:
    yield {"kind": "set_out", "at": visit.set_out_at.isoformat()}
    yield {"kind": "arrived", "at": visit.arrive_at.isoformat()}
    at = visit.arrive_at
    for check in stop.checks:
        at += timedelta(minutes=2)
        answer = {"answer": "not_true", "reason": "Not done."} if is_shut else {"answer": "true"}
        fact: Fact = {"kind": "checked", "condition": check.condition, "at": at.isoformat()}
        yield fact | {"what": answer}
    if is_shut:
        missing = [check.condition for check in stop.checks][:1]
        what: Fact = {"missing": missing, "why": "Nobody here, the house is shut."}
        away_at = at + timedelta(minutes=25)
        yield {"kind": "turned_away", "at": away_at.isoformat(), "what": what}
        return
    yield from _work(stop, at, slips=slips)


def _work(stop: PlannedStop, at: datetime, *, slips: bool) -> Iterator[Fact]:
    """Yield steps that take a little longer than planned; one lead's thumb slips once."""
    targets = depth_targets(Space.objects.filter(job=stop.job)).get("flat_blow", [])
    target_in = round(targets[0].initial_in * 4) / 4 if targets else 0.0
    for step in stop.steps:
        at += timedelta(minutes=5)
        yield {"kind": "started", "step": step.kind, "at": at.isoformat()}
        minutes = max(1, round(step.minutes * 1.08))
        at += timedelta(minutes=minutes)
        bags = None if step.bags is None else round(step.bags) * (THUMB if slips else 1)
        figures: Fact = {"minutes": minutes, "bags": bags, "whole": True}
        if step.kind == "flat_blow" and target_in:
            figures["depths_in"] = [target_in + off_in for off_in in DEPTHS_OFF_IN]
        yield {"kind": "finished", "step": step.kind, "at": at.isoformat(), "what": figures}
