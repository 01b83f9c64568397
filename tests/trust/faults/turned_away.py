"""What the sweep of faults breaks of telling the office of crews turned away."""

from collections.abc import Callable

from scheduling.models import Fact, TurnedAway
from scheduling.runs.services.replans import replans_ask, rest_ask
from scheduling.turned_away.services import turned_away_see, turned_away_take
from tests.people import ACTOR, Company
from tests.scheduling.gather.test_gather_rest import Monday, clock, say

Call = Callable[[], object]


def _fact(company: Company) -> Fact:
    """A crew's word by its row alone; Omar has an address for the mail."""
    company.omar.email = "omar@example.com"
    company.omar.save()
    return say(company.north, "7:30", "turned_away", Monday(company).lot, why="locked")


def _told(company: Company) -> TurnedAway:
    return turned_away_take(fact=_fact(company), actor=ACTOR, now=clock("7:30"))


def of_telling(company: Company) -> Call:
    """The row and the mail of one fact."""
    fact = _fact(company)
    return lambda: turned_away_take(fact=fact, actor=ACTOR, now=clock("7:30"))


def of_seeing(company: Company) -> Call:
    """The office's answer."""
    row = _told(company)
    return lambda: turned_away_see(turned_away=row, actor=ACTOR, now=clock("7:40"))


def of_replanning(company: Company) -> Call:
    """The run that is asked for."""
    _told(company)
    return lambda: replans_ask(now=clock("7:31"), ring=False)


def of_replanning_by_hand(company: Company) -> Call:
    """The run that the office asks for."""
    branch = _told(company).branch
    return lambda: rest_ask(actor=ACTOR, branch=branch, now=clock("7:31"), ring=False)


CASES: dict[str, Callable[[Company], Call]] = {
    "turned_away_take": of_telling,
    "turned_away_see": of_seeing,
    "replans_ask": of_replanning,
    "rest_ask": of_replanning_by_hand,
}
