"""A house of the whole catalogue on crew north's Monday and Tuesday, and what facts made of it."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from contractor.events import Actor
from jobs.conditions.states import Grounds
from jobs.estimates.services.estimate import job_estimate
from jobs.models import Actual, BackCharge, Condition, Finding, Job
from jobs.readiness.services.condition import condition_move
from scheduling.facts.services.facts import FactTaken, facts_take
from scheduling.models import CrewDay, Fact, WeekVersion
from tests.people import ACTOR, MONDAY, NOW, Company, attic_make, job_make, site_make
from tests.scheduling.facts.facts import SEVEN, Day, said
from tests.scheduling.houses import version_make, visit_make

TUESDAY = MONDAY + timedelta(days=1)
WEDNESDAY_NIGHT = SEVEN + timedelta(days=2, hours=12)
CHASE = {"answer": "we_did_it", "amount": "12", "agreed_by": "Rosa Reyes, by phone"}


@dataclass(frozen=True)
class Feed:
    """The house and who works there: north on Monday and Tuesday, south on Tuesday too."""

    company: Company
    lot: Job

    def condition(self, code: str = "chases_capped") -> Condition:
        return self.lot.conditions.get(code=code)

    def say(self, number: int, kind: str, *, south: bool = False, **more: Any) -> dict[str, Any]:
        crew = self.company.south if south else self.company.north
        day = Day(crew, self.lot, self.lot, self.condition())
        return said(day, number, kind) | more

    def checked(self, number: int, answer: str, code: str = "chases_capped", **what: Any) -> Any:
        condition = self.condition(code).pk
        return self.say(number, "checked", condition=condition, what={"answer": answer} | what)

    def finished(self, number: int, minutes: int, step: str = "flat_blow", **more: Any) -> Any:
        what = {"minutes": minutes} | more.pop("what", {})
        return self.say(number, "finished", step=step, what=what, **more)

    def take(self, *facts: dict[str, Any], south: bool = False) -> list[FactTaken]:
        """Send them on Wednesday night, by a clock that is right."""
        return facts_take(
            person=self.company.saul if south else self.company.cleo,
            phone=None,
            facts=facts,
            sent_at=WEDNESDAY_NIGHT,
            now=WEDNESDAY_NIGHT,
        )

    def left_out(self, number: int) -> str:
        return Fact.objects.get(pk=f"00000000-0000-0000-0000-{number:012x}").left_out


def feed_make(company: Company, **states: str) -> Feed:
    """Post both days; conditions by code in the states named, as the builder left them."""
    lot = job_make(site_make(company.fairfield))
    attic_make(lot, company.cellulose)
    lot = job_estimate(job_id=lot.pk, actor=ACTOR, now=NOW)
    for code, state in states.items():
        condition_move(
            condition_id=lot.conditions.get(code=code).pk,
            version=1,
            to_state=state,
            grounds=Grounds(),
            actor=Actor(who="Rosa Reyes", source="link"),
            now=NOW,
        )
    minutes = {step.kind: 60 for step in lot.steps.all()}
    version = version_make(company, WeekVersion.State.POSTED)
    for crew, day in (
        (company.north, MONDAY),
        (company.north, TUESDAY),
        (company.south, TUESDAY),
    ):
        visit_make(version, crew, day, lot, minutes)
    CrewDay.objects.get(crew=company.north, date=TUESDAY).machines.add(company.blower)
    return Feed(company, lot)


def drawn(lot: Job) -> dict[str, Any]:
    """All that was drawn from facts, without the ids and times of when it was drawn."""
    return {
        "conditions": [
            (c.code, c.state, c.needed, c.reason, c.document, c.moved_by, c.moved_at, c.holds)
            for c in lot.conditions.order_by("code")
        ],
        "outcomes": [
            (c.code, o.kind, o.said, o.came, o.slip_days, o.found_true)
            for c in lot.conditions.order_by("code")
            for o in c.outcomes.order_by("pk")
        ],
        "charges": list(
            BackCharge.objects.filter(job=lot)
            .active()
            .order_by("amount")
            .values_list("step_kind", "amount", "agreed_by", "cents", "taken_by", "taken_at")
        ),
        "steps": list(
            lot.steps.filter(needed=True).order_by("position").values_list("kind", "lag_days")
        ),
        "actuals": {
            actual.step.kind: _figures(actual)
            for actual in Actual.objects.filter(step__job=lot).active().select_related("step")
        },
        "findings": {finding.day: _found(finding) for finding in lot.findings.order_by("pk")},
        "left_out": dict(Fact.objects.order_by("id").values_list("id", "left_out")),
    }


def _figures(actual: Actual) -> tuple[object, ...]:
    return (
        actual.crew_id,
        actual.machine_id,
        actual.people,
        actual.minutes,
        actual.bags,
        actual.worked_on,
        actual.who,
    )


def _found(finding: Finding) -> tuple[object, ...]:
    return (finding.could_start, finding.step_kinds, finding.missing, finding.note, finding.who)


def on(day: date, number: int) -> str:
    """The number-th minute after seven of a day, as a phone says it."""
    return (SEVEN + (day - MONDAY) + timedelta(minutes=number)).isoformat()
