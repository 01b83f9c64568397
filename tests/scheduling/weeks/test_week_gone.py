"""Houses that were called off or finished while they stood on a draft: named, and taken off."""

from collections.abc import Iterator

import pytest
import time_machine

from contractor.models import Event
from jobs.models import Job
from scheduling.models import Stop
from scheduling.weeks.services.posting import week_post
from scheduling.weeks.services.refusals import PostRefused
from tests.pages import marks
from tests.people import ACTOR, NOW, TODAY, Company, signed_in
from tests.scheduling.houses import WEEK as ISO_WEEK
from tests.scheduling.houses import day, house_make, visit_make
from tests.scheduling.weeks.weeks import WEEK, Planned, planned_make, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _thursday() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


def gone(company: Company, state: str) -> Planned:
    """A draft with a house of this state on Monday, and one that stands."""
    planned = planned_make(company)
    other = house_make(company, "Lot 8", {"flat_blow": 60})
    visit_make(planned.stop.crew_day.version, company.north, day(1), other, {"flat_blow": 60})
    Job.objects.filter(pk=planned.planned.pk).update(state=state)
    return planned


@pytest.mark.parametrize(("state", "words"), [("called_off", "called off"), ("finished",) * 2])
def test_posting_names_the_house_and_offers_to_take_it_off(
    company: Company, state: str, words: str
) -> None:
    planned = gone(company, state)
    browser = signed_in(company.omar)
    form = {"expected": f"{WEEK}={planned.week.revision}", "all_the_same": "on"}
    answer = browser.post(f"/week/{WEEK}/post/{planned.query}", form)
    page = text_of(answer)
    assert answer.status_code == 422
    assert f"Quarry Lane 1, Lot 1 is {words}, and stands on Mon Mar 1 with North." in page
    assert "There is no job" not in page
    assert "Post it all the same" not in page
    off = f"/week/{WEEK}/stop/{planned.stop.pk}/take-off/{planned.query}"
    assert f'action="{off}"' in marks(answer)
    taken = browser.post(off, {"expected": form["expected"]}, follow=True)
    assert taken.status_code == 200
    assert "It is off the plan." in text_of(taken)
    assert [str(stop.job) for stop in Stop.objects.all()] == ["Quarry Lane 1, Lot 8"]
    planned.week.refresh_from_db()
    form["expected"] = f"{WEEK}={planned.week.revision}"
    posted = browser.post(f"/week/{WEEK}/post/{planned.query}", form, follow=True)
    assert "Week 9 is posted." in text_of(posted)


def test_nothing_is_changed_by_the_refusal(company: Company) -> None:
    planned = gone(company, "called_off")
    events = Event.objects.count()
    with pytest.raises(PostRefused) as refused:
        week_post(
            actor=ACTOR,
            branch=company.fairfield,
            week=ISO_WEEK,
            expected=planned.week.revision,
            now=NOW,
            today=TODAY,
            all_the_same=True,
        )
    assert [stop.stop_id for stop in refused.value.gone] == [planned.stop.pk]
    planned.week.refresh_from_db()
    assert (planned.week.revision, Event.objects.count()) == (0, events)


def test_a_day_gone_by_is_no_hindrance(company: Company) -> None:
    planned = gone(company, "finished")
    posted = week_post(
        actor=ACTOR,
        branch=company.fairfield,
        week=ISO_WEEK,
        expected=planned.week.revision,
        now=NOW,
        today=day(1),
        all_the_same=True,
    )
    assert posted.state == "posted"
