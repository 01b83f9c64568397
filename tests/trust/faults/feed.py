"""What the sweep of faults breaks of drawing the record from what crews said."""

from collections.abc import Callable

from contractor.events import Actor
from jobs.models import Actual
from jobs.rates.services.actuals import actual_enter, actual_withdraw
from jobs.record.services.finding import finding_say
from scheduling.facts.services.corrections import fact_correct
from scheduling.models import Fact
from tests.people import ACTOR, NOW, TODAY, Company
from tests.scheduling.facts.feed import WEDNESDAY_NIGHT, Feed, feed_make

Call = Callable[[], object]


def of_correction(company: Company) -> Call:
    """A figure, with the row of what the step took that follows it."""
    feed = feed_make(company)
    feed.take(feed.finished(200, 95, what={"bags": 700}))
    fact = Fact.objects.get()
    return lambda: fact_correct(
        fact=fact,
        figures={"bags": 70},
        reason="a nought too many",
        actor=Actor.of_user(company.omar),
        now=WEDNESDAY_NIGHT,
    )


def of_withdrawal(company: Company) -> Call:
    """What a step took that is not finished after all."""
    actual = _entered(feed_make(company))
    return lambda: actual_withdraw(actual=actual, reason="some is left", actor=ACTOR, now=NOW)


def of_finding(company: Company) -> Call:
    """What a crew said of a visit."""
    lot = feed_make(company).lot
    return lambda: finding_say(
        job=lot,
        day=TODAY,
        step_kinds=["flat_blow"],
        could_start=False,
        note="the gate is locked",
        actor=ACTOR,
        now=NOW,
    )


def _entered(feed: Feed) -> Actual:
    return actual_enter(
        step_id=feed.lot.steps.get(kind="flat_blow").pk,
        crew=feed.company.north,
        machine=None,
        people=3,
        minutes=50,
        bags=None,
        worked_on=TODAY,
        actor=ACTOR,
        now=NOW,
    )


CASES: dict[str, Callable[[Company], Call]] = {
    "fact_correct": of_correction,
    "actual_withdraw": of_withdrawal,
    "finding_say": of_finding,
}
