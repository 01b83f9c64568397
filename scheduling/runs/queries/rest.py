"""Of a plan for the rest of a day: why it was asked for and what it counts on; changes nothing."""

from collections.abc import Iterator
from functools import partial
from zoneinfo import ZoneInfo

from django.utils.translation import gettext

from contractor.plan_ids import row_of
from jobs.shown import duration
from scheduling.gather.gathered import Gathered
from scheduling.models import Fact, PlanningRun
from scheduling.turned_away.words import clock, missing_names


def because_of(run: PlanningRun) -> tuple[str, ...]:
    """Return a sentence for each crew whose being turned away the plan answers."""
    rows = run.turned_away.select_related("fact__crew", "fact__job__site")
    facts = [row.fact for row in rows]
    zone = ZoneInfo(run.branch.time_zone)
    return tuple(map(partial(_because, zone), facts, missing_names(facts)))


def _because(zone: ZoneInfo, fact: Fact, missing: list[str]) -> str:
    words = {"crew": fact.crew.name, "house": str(fact.job)}
    words["why"] = "; ".join([*missing, *filter(None, [fact.what.get("why")])])
    words["time"] = clock(fact.happened_at.astimezone(zone))
    return gettext("%(crew)s was turned away from %(house)s at %(time)s: %(why)s") % words


def counts_on(gathered: Gathered) -> tuple[str, ...]:
    """Return when and where each crew is free, and how much of its usual day is left then."""
    return tuple(_standings(gathered))


def _standings(gathered: Gathered) -> Iterator[str]:
    rest = gathered.rest
    if rest is None:
        return
    zone = ZoneInfo(rest.branch.time_zone)
    for crew in gathered.problem.crews:
        standing = rest.crews.get(row_of(crew.id))
        if standing is None:
            continue
        site = rest.sites.get(standing.rest.at_job or 0)
        text = gettext("%(crew)s is free at %(time)s at %(place)s, with %(left)s left of its day")
        yield text % {
            "crew": gathered.names.named(crew.id),
            "time": clock(standing.rest.free_at.astimezone(zone)),
            "place": site.name if site else gettext("the yard"),
            "left": duration(crew.minutes[0]),
        }
