"""Houses that the invented crews finished in the weeks before, with what each step took."""

import math
import random
from datetime import date, datetime, timedelta

from contractor.access import Scope
from contractor.events import Actor
from contractor.models import Branch, Crew, Machine
from jobs.estimating import loads_read
from jobs.houses.services.job import job_update
from jobs.imports.services import import_apply
from jobs.models import Job, Step
from jobs.rates.actual_ratios import bags_in
from jobs.rates.services.actuals import actual_enter
from jobs.rates.services.rates import rates_learn
from scheduling.demo.sheet import finished_rows, sheet_bytes

_SEED = 19
# How actual minutes lie to estimated ones: a little over, with the spread of one-off work.
_USUAL_RATIO, _LOG_SPREAD = 1.08, 0.16


def finished_load(*, branch: Branch, today: date, actor: Actor, now: datetime) -> None:
    """Import the finished houses, enter what their steps took, and learn the rates from it."""
    chance = random.Random(_SEED)  # noqa: S311 - the same record each time, no secret
    monday = today - timedelta(days=today.weekday() + 21)
    import_apply(
        content=sheet_bytes(finished_rows(monday=monday)),
        scope=Scope(all_branches=True),
        actor=actor,
        now=now,
    )
    crews = list(Crew.objects.filter(branch=branch).order_by("pk"))
    machines = list(Machine.objects.filter(branch=branch).order_by("pk"))
    for number, job in enumerate(Job.objects.order_by("pk")):
        crew = crews[number % 4]  # the fifth does not blow
        machine = machines[number % len(machines)]
        for step in job.steps.order_by("position"):
            _enter(
                chance,
                step,
                crew=crew,
                machine=machine,
                worked_on=monday + timedelta(days=number),
                actor=actor,
                now=now,
            )
        job.refresh_from_db()
        job_update(
            job_id=job.pk, version=job.version, changes={"state": "finished"}, actor=actor, now=now
        )
    rates_learn(branch=branch, actor=actor, now=now)


def _enter(
    chance: random.Random,
    step: Step,
    *,
    crew: Crew,
    machine: Machine,
    worked_on: date,
    actor: Actor,
    now: datetime,
) -> None:
    people = crew.members.count()
    estimated = step.minutes_by_people.at(people)
    ratio = math.exp(chance.gauss(math.log(_USUAL_RATIO), _LOG_SPREAD)) * float(crew.pace)
    bags = bags_in(loads_read(step.loads)) or 0
    actual_enter(
        step_id=step.pk,
        crew=crew,
        machine=machine,
        people=people,
        minutes=max(1, round(estimated * ratio)),
        bags=round(bags * chance.uniform(0.97, 1.08)) if bags else None,
        worked_on=worked_on,
        actor=actor,
        now=now,
    )
