"""What the sweep of faults breaks of keeping what crews say."""

from collections.abc import Callable

from contractor.files.photos import Picture
from scheduling.facts.services.facts import fact_photo_keep, facts_take
from scheduling.models import Fact
from tests.people import ACTOR, NOW, Company
from tests.scheduling.facts.facts import EVENING, day_make, said

Call = Callable[[], object]


def of_facts(company: Company) -> Call:
    """One fact: each has a transaction of its own."""
    day = day_make(company)
    fact = said(day, 21, "checked", condition=day.chase.pk, what={"answer": "true"})
    return lambda: facts_take(
        person=company.cleo, phone=None, facts=[fact], sent_at=EVENING, now=EVENING
    )


def of_picture(company: Company) -> Call:
    """A picture that comes after its tap."""
    day = day_make(company)
    facts_take(
        person=company.cleo,
        phone=None,
        facts=[said(day, 1, "photo")],
        sent_at=EVENING,
        now=EVENING,
    )
    fact = Fact.objects.select_related("crew__branch").get()
    picture = Picture(b"jpeg", 1, 1)
    return lambda: fact_photo_keep(fact=fact, picture=picture, actor=ACTOR, now=NOW)


CASES: dict[str, Callable[[Company], Call]] = {
    "facts_take": of_facts,
    "fact_photo_keep": of_picture,
}
