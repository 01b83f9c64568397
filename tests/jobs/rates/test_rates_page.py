"""The page of rates: what it says, who may, what its posts change and what they refuse."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from contractor.models import Branch, Event, PinnedRate
from jobs.rates.services.actuals import actual_enter
from jobs.rates.services.rates import rates_learn
from tests.jobs.rates.worked import attic_job, enter, finished, post, step_of
from tests.pages import HOSTILE, inline_faults, marks, statements, status_by_role, words
from tests.people import ACTOR, NOW, Company, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("thursday_morning")]
RATES = "/rates/"


def rates(company: Company, query: str = ""):  # type: ignore[no-untyped-def]
    return signed_in(company.omar).get(RATES + query)


def pin(company: Company, **data: str):  # type: ignore[no-untyped-def]
    given = {"path": "hand.marker_minutes", "value": "2", "because": "timed it", **data}
    return signed_in(company.omar).post(reverse("rate-pin"), given)


def test_owner_and_office_see_rates_and_nobody_else(company: Company) -> None:
    found = status_by_role(company, RATES)
    assert {name for name, status in found.items() if status == 200} == {"olive", "omar", "lena"}
    assert found["nobody"] == 302


def test_every_rate_stands_there_as_a_default_with_its_source(company: Company) -> None:
    page = words(rates(company))
    assert "Rates of Fairfield yard" in page
    assert "Blower 1, open blow 1,200 lb/h default" in page
    assert "A baffle 4.5 person-min each default 4.5: span 3 to 6" in page
    assert "flat blow × 1.00 default" in page
    assert "3 to 8 labour-hours per 1,000 ft²" in page


def test_the_policy_of_the_site_is_kept(company: Company) -> None:
    finished(company, 1, "1.1")
    assert inline_faults(rates(company)) == []


def test_learning_by_the_button_says_how_many_were_re_priced(company: Company) -> None:
    finished(company, 6, "1.5")
    attic_job(company, "Open")
    post(attic_job(company, "Posted"), company.north)
    assert "6 finished steps were entered since" in words(rates(company))
    answer = signed_in(company.omar).post(reverse("rates-learn"), follow=True)
    page = words(answer)
    assert "Learned from 6 finished steps." in page
    assert "1 open job was re-priced. 1 job of a posted week stands as it is." in page
    assert "learned from 6 jobs" in page
    assert "Pace of crews" in page
    assert Event.objects.get(verb="learned").user == company.omar


def test_work_that_fits_no_estimate_is_told(company: Company) -> None:
    job = attic_job(company, "Done", state="finished")
    enter(step_of(job), company.north, 100)
    job.spaces.all().delete()
    answer = signed_in(company.omar).post(reverse("rates-learn"), follow=True)
    assert "1 finished step is left out" in words(answer)


def test_a_pin_is_kept_with_its_reason_and_taken_out_again(company: Company) -> None:
    answer = pin(company, because=f"timed {HOSTILE}"[:150])
    assert answer.status_code == 302
    page = rates(company)
    assert "pinned by hand “timed <script>alert(1)" in words(page)
    assert HOSTILE[:20] not in marks(page)
    client = signed_in(company.omar)
    client.post(reverse("rate-unpin"), {"path": "hand.marker_minutes"})
    assert not PinnedRate.objects.exists()


def test_the_value_to_pin_is_typed_without_commas(company: Company) -> None:
    """What stands in the field must be read back: 2,400 with its comma would not be."""
    page = marks(rates(company))
    form = page[page.index('value="hose_hand.spread_ft2_per_hour"') :]
    found = re.search(r'name="value"[^>]* value="([^"]*)"', form)
    assert found
    assert Decimal(found[1]) == 2400


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"value": "much"}, "Value:"),
        ({"value": "-1"}, "A depth marker: expected at least 0"),
        ({"because": ""}, "Why:"),
        ({"because": "w" * 151}, "Why:"),
        ({"path": "hand.nothing"}, "hand.nothing is no rate of this yard"),
        ({"path": "machine-1234567.open"}, "is no rate of this yard"),
    ],
)
def test_a_pin_that_cannot_be_right_says_so(
    company: Company, data: dict[str, str], said: str
) -> None:
    answer = pin(company, **data)
    assert answer.status_code == 400
    assert said in words(answer)
    assert "Nothing was changed." in words(answer)
    assert not PinnedRate.objects.exists()


def test_rates_of_another_yard_are_not_there(company: Company) -> None:
    there = f"?branch={company.lowton.pk}"
    assert rates(company, there).status_code == 404
    data = {"path": "hand.marker_minutes", "value": "2", "because": "mine"}
    assert signed_in(company.omar).post(reverse("rate-pin") + there, data).status_code == 404
    assert signed_in(company.omar).post(reverse("rates-learn") + there).status_code == 404
    assert not PinnedRate.objects.exists()
    page = words(signed_in(company.olive).get(RATES + there))
    assert "Rates of Lowton yard" in page


@pytest.mark.parametrize("query", ["?branch=x", "?branch=-1", "?branch=9999999999999999999999"])
def test_a_yard_that_is_none_is_not_there(company: Company, query: str) -> None:
    assert signed_in(company.olive).get(RATES + query).status_code == 404


def test_the_yard_is_set_and_its_table_named(company: Company) -> None:
    data = {"hose_ft": "150", "code_edition": "2021", "climate_zone": "5"}
    answer = signed_in(company.omar).post(reverse("rates-yard"), data, follow=True)
    page = words(answer)
    assert "zone 5: ceiling R-60" in page  # 2021 IECC, table R402.1.3
    branch = Branch.objects.get(pk=company.fairfield.pk)
    assert (branch.hose_ft, branch.heat_on, branch.climate_zone) == (150, False, 5)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"heat_on": "on"}, "Heat needs the outdoor air"),
        ({"climate_zone": "5"}, "Give both the code"),
        ({"climate_zone": "9", "code_edition": "2021"}, "Climate zone:"),
        ({"code_edition": "1999", "climate_zone": "5"}, "Energy code, edition:"),
        ({"hose_ft": "far"}, "Usual hose, ft:"),
    ],
)
def test_a_yard_that_cannot_be_says_so(company: Company, data: dict[str, str], said: str) -> None:
    answer = signed_in(company.omar).post(reverse("rates-yard"), data)
    assert answer.status_code == 400
    assert said in words(answer)
    assert not Event.objects.exists()


def test_estimate_against_actual_as_plot_and_tables(company: Company) -> None:
    finished(company, 2, "1.5", company.north)
    finished(company, 1, "0.8", company.south)
    answer = rates(company)
    assert marks(answer).count('class="mark" transform') == 3
    page = words(answer)
    assert "flat blow 3" in page
    assert "North 2" in page
    assert "Blower 1 3" in page
    assert "× 1.50" in page


def test_the_filters_keep_what_they_say(company: Company) -> None:
    finished(company, 2, "1.5", company.north)
    finished(company, 1, "0.8", company.south)
    south = rates(company, f"?crew={company.south.pk}")
    assert marks(south).count('class="mark" transform') == 1
    none = rates(company, "?step=batt")
    assert "No finished step fits these filters." in words(none)
    odd = rates(company, "?step=nonsense&crew=x&machine=99999999999")
    assert marks(odd).count('class="mark" transform') == 3


def test_before_any_work_the_page_says_what_to_do(company: Company) -> None:
    assert "No finished step has been entered yet" in words(rates(company))


def test_the_page_asks_as_much_for_many_as_for_few(company: Company) -> None:
    finished(company, 1, "1.1")
    client = signed_in(company.omar)
    client.get(RATES)
    with statements() as few:
        client.get(RATES)
        first = few()
    finished(company, 3, "1.2", company.south)
    with statements() as many:
        client.get(RATES)
        assert many() == first


def test_posts_are_posts(company: Company) -> None:
    for name in ("rates-learn", "rate-pin", "rate-unpin", "rates-yard"):
        assert signed_in(company.omar).get(reverse(name)).status_code == 405
        assert signed_in(company.esme).post(reverse(name)).status_code == 404


def test_entries_after_the_learning_are_counted(company: Company) -> None:
    finished(company, 1, "1.1")
    rates_learn(branch=company.fairfield, actor=ACTOR, now=NOW)
    assert "0 finished steps were entered since" in words(rates(company))
    step = step_of(attic_job(company, "Later"))
    actual_enter(
        step_id=step.pk,
        crew=company.north,
        machine=None,
        people=2,
        minutes=100,
        bags=None,
        worked_on=NOW.date(),
        actor=ACTOR,
        now=NOW + timedelta(minutes=1),
    )
    assert "1 finished step was entered since" in words(rates(company))
