"""What the sweep of faults breaks of the services about calls."""

from collections.abc import Callable
from datetime import timedelta

from contractor.workdays import IsoWeek
from jobs.models import Condition
from jobs.readiness.services.call import CallAnswer, call_record
from scheduling.evening.services import evening_answer
from scheduling.models import WeekVersion
from tests.jobs.estimates.built import built
from tests.people import ACTOR, NOW, TODAY, Company
from tests.scheduling.houses import version_make, visit_make

Call = Callable[[], object]


def of_call(company: Company) -> Call:
    """One call that settles a thing, promises another and disowns a third."""
    job = built(company)
    person = job.site.superintendent
    assert person is not None
    rows = list(Condition.objects.filter(job=job, owed_by="builder", gate="block")[:3])
    said = (("done", None, ""), ("on", NOW.date(), ""), ("not_theirs", None, "the owner's"))
    answers = [
        CallAnswer(row.pk, row.version, answer, day, note)
        for row, (answer, day, note) in zip(rows, said, strict=True)
    ]
    return lambda: call_record(
        superintendent_id=person.pk,
        branch=company.fairfield,
        answers=answers,
        seen=0,
        actor=ACTOR,
        now=NOW,
    )


def of_evening(company: Company) -> Call:
    """An answer that makes tomorrow's crew-day sure; 2027-02-26 is the Friday after NOW."""
    job = built(company, ready_date=None)
    week = IsoWeek(2027, 8)
    draft = version_make(company, WeekVersion.State.DRAFT, week)
    visit_make(draft, company.north, TODAY + timedelta(days=1), job, {"net": 30})
    rows = [row for row in job.conditions.all() if "net" in row.holds and row.owed_by != "us"]
    person = job.site.superintendent
    assert person is not None
    return lambda: evening_answer(
        superintendent_id=person.pk,
        branch=company.fairfield,
        answers=[CallAnswer(row.pk, row.version, "done") for row in rows],
        seen=0,
        actor=ACTOR,
        now=NOW,
    )


CASES: dict[str, Callable[[Company], Call]] = {
    "call_record": of_call,
    "evening_answer": of_evening,
}
