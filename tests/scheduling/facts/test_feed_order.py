"""All that is drawn from facts is a function of their set: shuffled, doubled, one by one."""

import random
from typing import Any

import pytest
from django.db import transaction

from scheduling.models import Fact
from tests.people import MONDAY, Company
from tests.scheduling.facts.feed import CHASE, TUESDAY, Feed, drawn, feed_make, on

pytestmark = pytest.mark.django_db
ORDERS = 4


class Undone(Exception):
    """Raised to take back what one order of facts made."""


def outcome_of(feed: Feed, facts: list[dict[str, Any]]) -> dict[str, Any]:
    """What a sequence of facts, each by its own crew, leaves behind; taken back afterwards."""
    found: dict[str, Any] = {}
    try:
        with transaction.atomic():
            for fact in facts:
                (taken,) = feed.take(fact, south=fact["crew"] == feed.company.south.pk)
                assert taken.why == ""
            found = drawn(feed.lot)
            raise Undone
    except Undone:
        return found


def facts_of(feed: Feed, draw: random.Random) -> list[dict[str, Any]]:
    """Some two dozen facts of two days and two crews, of every kind that feeds the record."""
    missing = [feed.condition(code).pk for code in ("attic_access", "chases_capped")]
    makers = [
        lambda n: feed.checked(n, "true"),
        lambda n: feed.checked(n, "not_true", reason=draw.choice(["open", "half open"])),
        lambda n: feed.checked(n, **CHASE | {"amount": str(draw.randint(1, 30))}),
        lambda n: feed.checked(n, "true", "attic_access"),
        lambda n: feed.checked(n, "not_true", "attic_access"),
        lambda n: feed.say(n, "started", step=draw.choice(["flat_blow", "cap_chases"])),
        lambda n: feed.finished(n, draw.randint(1, 90), "cap_chases"),
        lambda n: feed.finished(
            n, draw.randint(1, 90), what={"bags": n, "whole": draw.random() < 0.6}
        ),
        lambda n: feed.say(n, "turned_away", what={"missing": missing[: n % 3], "why": "shut"}),
    ]
    found = []
    for number in range(1, draw.randint(6, 22)):
        fact = draw.choice(makers)(number)
        day = draw.choice([MONDAY, TUESDAY])
        fact |= {"day": day.isoformat(), "at": on(day, draw.randint(0, 12))}
        if day == TUESDAY and draw.random() < 0.4:
            fact["crew"] = feed.company.south.pk
        found.append(fact)
    return found


@pytest.mark.parametrize("seed", range(8))
def test_no_order_and_no_repeat_makes_a_difference(company: Company, seed: int) -> None:
    feed = feed_make(company, chases_capped="reported_done", attic_access="reported_done")
    draw = random.Random(seed)
    facts = facts_of(feed, draw)
    in_order = sorted(facts, key=lambda fact: (fact["at"], fact["id"]))
    expected = outcome_of(feed, in_order)
    for _order in range(ORDERS):
        shuffled = [fact for fact in facts for _ in range(draw.randint(1, 2))]
        draw.shuffle(shuffled)
        assert outcome_of(feed, shuffled) == expected
    assert not Fact.objects.exists()


def test_the_last_check_counts_though_it_came_first(company: Company) -> None:
    """By hand: true at 7:10, ours at 7:20, not true at 7:30; any of the six orders ends owed."""
    feed = feed_make(company, chases_capped="reported_done")
    facts = [
        feed.checked(10, "true"),
        feed.checked(20, **CHASE),
        feed.checked(30, "not_true", reason="the cover fell down"),
    ]
    for first, second, third in ((0, 1, 2), (0, 2, 1), (1, 0, 2), (1, 2, 0), (2, 0, 1), (2, 1, 0)):
        made = outcome_of(feed, [facts[first], facts[second], facts[third]])
        rows = {row[0]: row for row in made["conditions"]}
        assert rows["chases_capped"][1:4] == ("owed", True, "the cover fell down")
        assert made["charges"] == []
