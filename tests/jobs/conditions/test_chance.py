"""Chances against closed forms, and against invented builders whose habits are known."""

import random
from collections import Counter
from datetime import date, timedelta
from itertools import pairwise

import pytest

from contractor.workdays import WorkCalendar
from jobs.conditions.chance import (
    COMPANY_STRENGTH,
    PRIOR_STRENGTH,
    PROMISE_PRIOR,
    READY_PRIOR,
    UNDATED,
    Forecast,
    Odds,
    beta_mean,
    dirichlet_mean,
    odds_of,
)
from jobs.conditions.readiness import JobCondition
from jobs.conditions.record import LATER, MOST_SLIP_DAYS, History

MONDAY = date(2027, 3, 1)
WORK = WorkCalendar()
DAYS = tuple(WORK.working_days(MONDAY, MONDAY + timedelta(days=25)))


def condition(code: str = "a", state: str = "owed", **others: object) -> JobCondition:
    values = {"name": code, "owed_by": "builder", "gate": "block", "holds": ("batt",)}
    return JobCondition(code=code, state=state, **{**values, **others})  # type: ignore[arg-type]


def forecast(odds: Odds | None = None) -> Forecast:
    return Forecast(DAYS, MONDAY, WORK, odds or Odds())


def test_the_beta_mean_is_that_of_the_closed_form() -> None:
    # Beta(2, 3) after 4 of 10: Beta(6, 9), mean 6/15 (Gelman et al., Bayesian Data Analysis,
    # section 2.4; from memory).
    assert beta_mean(2 / 5, 5, 4, 6) == pytest.approx(6 / 15)


def test_the_dirichlet_mean_is_that_of_the_closed_form() -> None:
    # Dirichlet(1, 2, 3) after 4, 0, 2 has the means 5/12, 2/12, 5/12 (same book, section 3.4;
    # from memory).
    means = dirichlet_mean((1 / 6, 2 / 6, 3 / 6), 6, (4, 0, 2))
    assert means == pytest.approx((5 / 12, 2 / 12, 5 / 12))


def test_the_priors_are_distributions_and_the_ready_date_is_worse_on_every_day() -> None:
    for prior in (PROMISE_PRIOR, READY_PRIOR):
        assert sum(prior) == pytest.approx(1)
    odds = Odds()
    assert odds.promise_by[0] == pytest.approx(0.8)
    assert odds.ready_by[0] == pytest.approx(0.6)
    assert all(p > r for p, r in zip(odds.promise_by, odds.ready_by, strict=True))


def test_a_builder_is_drawn_to_the_company_and_that_to_the_prior() -> None:
    company = History(Counter({0: 30, 1: 20}), reports_true=45, reports_false=5)
    builder = History(Counter({0: 14, 2: 5}), reports_true=1, reports_false=1)
    odds = odds_of(builder, company)
    drawn = (0.8 * PRIOR_STRENGTH + 30) / (PRIOR_STRENGTH + 50)
    assert odds.promise[0] == pytest.approx(
        (drawn * COMPANY_STRENGTH + 14) / (COMPANY_STRENGTH + 19)
    )
    reports = (0.9 * PRIOR_STRENGTH + 45) / (PRIOR_STRENGTH + 50)
    assert odds.report == pytest.approx((reports * COMPANY_STRENGTH + 1) / (COMPANY_STRENGTH + 2))
    assert sum(odds.promise) == pytest.approx(1)
    assert odds_of(History(), History()).promise == pytest.approx(PROMISE_PRIOR)


def test_slips_beyond_two_weeks_count_as_later() -> None:
    odds = odds_of(History(Counter({40: 8})), History())
    assert odds.promise[LATER] > 0.5


def test_two_parties_by_hand() -> None:
    """The product of two parties by hand: slips of 0, 1, 2 days, and 0.9 for a report."""
    odds = Odds(promise=(0.5, 0.3, 0.1, *(0.0,) * 8, 0.1), report=0.9)
    both = [
        condition("a", "promised", promised=MONDAY),
        condition("b", "reported_done", owed_by="plumber"),
    ]
    found = forecast(odds).step("batt", both, None)
    assert found[:4] == pytest.approx((0.45, 0.72, 0.81, 0.81))


def test_one_party_counts_once_by_the_least_likely() -> None:
    first = condition("a", "promised", promised=MONDAY)
    again = condition("b", "promised", promised=MONDAY)
    later = condition("c", "promised", promised=DAYS[2])
    looked = forecast()
    alone = looked.step("batt", [first], None)
    assert looked.step("batt", [first, again], None) == alone
    assert looked.step("batt", [first, later], None) == looked.step("batt", [later], None)
    other = condition("d", "promised", promised=MONDAY, owed_by="hvac")
    assert looked.step("batt", [first, other], None)[0] == pytest.approx(alone[0] ** 2)


def test_the_ready_date_is_one_word_whoever_owes() -> None:
    owed = [condition("a"), condition("b", owed_by="plumber"), condition("c", owed_by="hvac")]
    found = forecast().step("batt", owed, DAYS[1])
    assert found[:2] == pytest.approx((0, 0.6))


def test_seen_done_and_waived_are_sure_and_other_steps_do_not_matter() -> None:
    settled = [condition("a", "seen_done"), condition("b", "waived"), condition("c", "taken_over")]
    other = condition("d", holds=("flat_blow",))
    ours = condition("e", owed_by="us")
    told = condition("f", gate="warn")
    assert set(forecast().step("batt", [*settled, other, ours, told], None)) == {1.0}


def test_owed_without_a_date_waits_for_the_lead_time_and_is_low_then() -> None:
    owed = condition("a", lead_days=3)
    assert forecast().step("batt", [owed], None)[:5] == (0, 0, 0, UNDATED, UNDATED)


def test_a_stop_that_was_got_round_is_never_ready() -> None:
    wrong = condition("a", "waived", gate="stop")
    assert set(forecast().step("batt", [wrong], None)) == {0.0}


@pytest.mark.parametrize("state", ["owed", "promised", "reported_done", "seen_done"])
@pytest.mark.parametrize("ready", [None, DAYS[3]])
def test_the_chance_never_falls_from_day_to_day(state: str, ready: date | None) -> None:
    draw = random.Random(7)
    for _ in range(20):
        slips = Counter(draw.choices(range(14), k=30))
        odds = odds_of(History(slips, slips, 5, 3), History())
        mixed = [
            condition("a", state, promised=DAYS[4] if state == "promised" else None),
            condition("b", "promised", promised=DAYS[6], owed_by="hvac"),
        ]
        chances = forecast(odds).step("batt", mixed, ready)
        assert all(before <= after for before, after in pairwise(chances))
        assert chances[0] >= 0
        assert chances[-1] <= 1


def test_invented_builders_come_true_as_often_as_stated() -> None:
    """10,000 promises: in every tenth of stated chances the share that held is within 2 points.

    Forty builders of one company keep their dates each in their own way; each promise is judged
    on a day between its date and a week later, after the record of all that went before.
    """
    draw = random.Random(20270301)
    habits = [_habit(draw) for _ in range(40)]
    records = [History() for _ in habits]
    company = History()
    judged: list[tuple[float, bool]] = []
    for number in range(12_000):
        builder = draw.randrange(len(habits))
        days_after = draw.randrange(6)
        came = draw.choices(range(LATER + 1), habits[builder])[0]
        stated = odds_of(records[builder], company).promise_by[days_after]
        # The company's own first promises are too few to say anything.
        if number >= 2000:
            judged.append((stated, came <= days_after))
        outcome = History(Counter({came: 1}))
        records[builder] += outcome
        company += outcome
    judged.sort(key=lambda pair: pair[0])
    assert len(judged) == 10_000
    for tenth in range(10):
        part = judged[tenth * 1000 : (tenth + 1) * 1000]
        said = sum(stated for stated, _ in part) / 1000
        held = sum(kept for _, kept in part) / 1000
        assert abs(said - held) <= 0.02, (tenth, said, held)


def _habit(draw: random.Random) -> list[float]:
    """Shares of slips: kept between half and nearly always, the rest thinning out."""
    kept, thin = draw.uniform(0.5, 0.95), draw.uniform(0.4, 0.7)
    return [kept, *((1 - kept) * (1 - thin) * thin**days for days in range(LATER))]


def test_a_slip_of_the_most_days_has_its_own_share_and_later_ones_have_no_more() -> None:
    """By the last day that is counted 0.98 of promises have come; no later day adds to them."""
    days = tuple(WORK.working_days(MONDAY, MONDAY + timedelta(days=25)))
    chance = forecast().condition(condition("a", "promised", promised=MONDAY), None)
    by_slip = dict(zip(range(len(days)), chance, strict=True))
    assert by_slip[MOST_SLIP_DAYS - 1] < by_slip[MOST_SLIP_DAYS] == pytest.approx(0.98)
    assert by_slip[MOST_SLIP_DAYS + 1] == by_slip[MOST_SLIP_DAYS]
