"""Every rate that may be set is one that the estimator reads, within the estimator's own limits."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from contractor.models import Machine
from jobs.estimates.branch_rates import PATHS, BranchRates, machine_path
from jobs.estimates.takeoff import takeoff_of
from jobs.estimating import TakeoffError, estimate_takeoff
from jobs.rates.rate_words import RateWords, rate_words
from tests.people import Company

pytestmark = pytest.mark.django_db
LITTLE = Decimal("0.0001")


def settable(company: Company) -> Iterator[RateWords]:
    return iter(rate_words(company.fairfield).values())


def estimator_takes(words: RateWords, value: Decimal, machine: Machine) -> bool:
    rates = BranchRates(pinned={words.path: (value, "a test")})
    takeoff: dict[str, Any] = takeoff_of([], machine, rates)
    try:
        estimate = estimate_takeoff(takeoff)
    except TakeoffError:
        return False
    assert estimate.not_used == (), words.path
    return "a test" in str(takeoff)


def test_each_rate_of_the_estimator_can_be_set(company: Company) -> None:
    found = {words.path for words in settable(company)}
    assert set(PATHS) < found
    assert machine_path(company.blower, "open") in found
    assert "learned.flat_blow" in found


def test_the_highest_is_taken_by_both_and_more_by_neither(company: Company) -> None:
    for words in settable(company):
        words.check(words.high)
        assert estimator_takes(words, words.high, company.blower), words.path
        with pytest.raises(ValidationError):
            words.check(words.high + LITTLE)
        if not words.path.startswith("learned."):  # a page allows a tenth to ten times
            assert not estimator_takes(words, words.high + LITTLE, company.blower), words.path


def test_the_lowest_is_what_the_estimator_says(company: Company) -> None:
    for words in settable(company):
        lowest = words.low if words.low_is_in else words.low + LITTLE
        words.check(lowest)
        assert estimator_takes(words, lowest, company.blower), words.path
        with pytest.raises(ValidationError):
            words.check(lowest - LITTLE)


def test_each_default_is_within_its_limits_and_has_a_source(company: Company) -> None:
    for words in settable(company):
        words.check(words.default)
        assert len(words.source) > 5, words.path
        assert words.title
        assert words.unit


def test_an_idle_machine_has_no_rates_here(company: Company) -> None:
    company.fairfield.machines.update(active=False)
    assert not [w for w in settable(company) if w.path.startswith("machine-")]
