"""A house with all that crews said of it, for what is drawn from that; changes nothing."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property

from django.db.models import prefetch_related_objects

from contractor.events import Actor
from contractor.models import Crew, Event, User
from jobs.catalogue.rows import mover_of_user
from jobs.conditions.states import Mover
from jobs.localtime import local_date
from jobs.models import Condition, Job, Step
from scheduling.facts.queries.reported_steps import report_of
from scheduling.models import Fact, Part, WeekVersion
from scheduling.progress import DayFact
from scheduling.progress.day import CHECKED, FINISHED, STARTED, TURNED_AWAY
from scheduling.progress.took import Took, took

FEEDS = (CHECKED, STARTED, FINISHED, TURNED_AWAY)


@dataclass(frozen=True)
class HouseFacts:
    """A house, held by the caller, with the facts that feed the record, by when they happened."""

    job: Job
    facts: tuple[Fact, ...]

    @cached_property
    def conditions(self) -> list[Condition]:
        """All that it waits for, or waited for once."""
        rows = self.job.conditions.select_related("job__site__branch", "job__site__builder")
        return list(rows.prefetch_related("back_charges").order_by("pk"))

    @cached_property
    def steps(self) -> dict[str, Step]:
        """Its steps by kind, also those that are not needed any more."""
        return {step.kind: step for step in self.job.steps.all()}

    @cached_property
    def by_id(self) -> dict[str, Fact]:
        """The facts by their ids."""
        return {str(fact.pk): fact for fact in self.facts}

    @cached_property
    def tooks(self) -> Mapping[str, Took]:
        """What each kind of step took by all reports of it."""
        found = {}
        for kind in sorted({fact.step_kind for fact in self.facts if fact.kind == FINISHED}):
            all_of_it = took(report_of(fact) for fact in self.facts if _is_end(fact, kind))
            if all_of_it is not None:
                found[kind] = all_of_it
        return found

    @cached_property
    def planned(self) -> Mapping[tuple[int, date], tuple[str, ...]]:
        """The kinds of step that each crew was sent for on each day, as it was told last."""
        parts = Part.objects.filter(
            stop__job=self.job, stop__crew_day__version__state__in=TOLD_TO_CREWS
        )
        rows = parts.values_list(
            "stop__crew_day__crew",
            "stop__crew_day__date",
            "stop__crew_day__version__state",
            "stop__crew_day__version",
            "step__kind",
        )
        told: dict[tuple[int, date], dict[tuple[bool, int], list[str]]] = {}
        for crew, day, state, version, kind in rows.order_by("step__position"):
            newest = (state == WeekVersion.State.POSTED, version)
            told.setdefault((crew, day), {}).setdefault(newest, []).append(kind)
        return {visit: tuple(kinds[max(kinds)]) for visit, kinds in told.items()}

    def day_of(self, moment: datetime) -> date:
        """Return the day at the house's yard."""
        return local_date(self.job.site.branch, moment)


TOLD_TO_CREWS = (WeekVersion.State.POSTED, WeekVersion.State.REPLACED)


def house_facts(job: Job) -> HouseFacts:
    """Read a house with what was said of it; the rest is read when it is asked for."""
    rows = Fact.objects.filter(job=job, kind__in=FEEDS).order_by("happened_at", "id")
    facts = list(rows)
    # Hundreds of facts are of a handful of people: each is read once.
    people = User.objects.in_bulk({fact.person_id for fact in facts})
    crews = Crew.objects.in_bulk({fact.crew_id for fact in facts})
    for fact in facts:
        fact.person, fact.crew = people.get(fact.person_id), crews[fact.crew_id]
    ends = [fact for fact in facts if fact.kind == FINISHED]
    prefetch_related_objects(ends, "corrections")
    return HouseFacts(job, tuple(facts))


def visit_fact(fact: Fact) -> DayFact:
    """Return the fact as the pure rules about visits know it."""
    return DayFact(
        str(fact.pk), fact.kind, fact.happened_at, fact.job_id, fact.step_kind, what=fact.what
    )


def speaker(fact: Fact) -> Actor:
    """Tell who said it, whoever acts now: moves drawn from it are theirs."""
    return Actor(who=fact.who, source=Event.Source.PHONE, user=fact.person)


def mover_of_fact(fact: Fact) -> Mover:
    """Return a fact's rights on conditions: its person's, or those of a lead nobody knows."""
    return Mover("crew_lead") if fact.person is None else mover_of_user(fact.person)


def _is_end(fact: Fact, kind: str) -> bool:
    return fact.kind == FINISHED and fact.step_kind == kind
