"""Three hundred taps, each sent once to four times, shuffled, on six connections at once."""

import random
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import Any

from django.db import OperationalError, connections

from contractor.access import scope_of
from scheduling.crew_days.queries.crew_days import crew_day_page
from scheduling.crew_days.queries.days import lead_fact, plan_of
from scheduling.facts.services.facts import FactTaken, State
from scheduling.models import Fact, Week
from scheduling.progress import day_progress, finished_counting
from tests.people import MONDAY, Company, company_make
from tests.scheduling.facts.facts import Day, day_make, said, take

TAPS = 300
CONNECTIONS = 6
MOST_SENDS = 4
BATCH = 10
MOST_TRIES = 5


def main(seed: str = "1") -> dict[str, Any]:
    """Let the phones loose on a company of their own; for a child process."""
    return taps_crowded(company_make(), int(seed))


def taps_crowded(company: Company, seed: int) -> dict[str, Any]:
    """Send everything; tell what is stored, what of it is wrong, and whether the plan moved."""
    day = day_make(company)
    draw = random.Random(seed)
    taps = taps_of(day, draw)
    revision = Week.objects.get().revision
    sent = [tap for tap in taps for _ in range(draw.randint(1, MOST_SENDS))]
    draw.shuffle(sent)
    batches = [sent[start : start + BATCH] for start in range(0, len(sent), BATCH)]
    phones = [batches[number::CONNECTIONS] for number in range(CONNECTIONS)]
    with ThreadPoolExecutor(CONNECTIONS) as pool:
        refused = sum(pool.map(partial(_send_all, company), phones))
    return {
        "taps": TAPS,
        "sends": len(sent),
        "refused": refused,
        "stored": Fact.objects.count(),
        "wrong": _wrong(taps),
        "revisions": Week.objects.get().revision - revision,
        "same_day": _stands(company) == _stands(company, taps),
    }


def taps_of(day: Day, draw: random.Random) -> list[dict[str, Any]]:
    """Taps of one crew's day, by two leads who say everything many times over."""
    kinds: list[dict[str, Any]] = [
        {"kind": "set_out"},
        {"kind": "arrived"},
        {"kind": "checked", "condition": day.chase.pk, "what": {"answer": "true"}},
        {
            "kind": "checked",
            "condition": day.chase.pk,
            "what": {"answer": "not_true", "reason": "open at the flue"},
        },
        {"kind": "started", "step": "air_seal"},
        {"kind": "finished", "step": "air_seal"},
        {"kind": "turned_away", "what": {"missing": [day.chase.pk], "why": ""}},
        {"kind": "note", "what": {"text": "ladder left at the yard"}},
    ]
    taps = []
    for number in range(1, TAPS + 1):
        tap = said(day, number, **draw.choice(kinds))
        if tap["kind"] == "finished":
            tap["what"] = {"minutes": draw.randint(1, 300), "bags": None, "whole": True}
        taps.append(tap)
    return taps


def _send_all(company: Company, batches: list[list[dict[str, Any]]]) -> int:
    """Send batch by batch on one connection; return how many were refused."""
    try:
        taken = [one for facts in batches for one in _sent(company, facts)]
    finally:
        connections.close_all()
    return sum(one.state == State.REFUSED for one in taken)


def _sent(company: Company, facts: list[dict[str, Any]]) -> list[FactTaken]:
    """Send a batch until it is answered: a busy database refuses, and a phone sends again."""
    for _ in range(MOST_TRIES):
        try:
            return take(company, *facts)
        except OperationalError:
            continue
    raise AssertionError(f"not answered in {MOST_TRIES} tries")


def _wrong(taps: list[dict[str, Any]]) -> int:
    facts = {str(fact.pk): fact for fact in Fact.objects.all()}
    return sum(not _is_as_said(tap, facts[tap["id"]]) for tap in taps)


def _is_as_said(tap: dict[str, Any], fact: Fact) -> bool:
    told = tap.get("what", {})
    return (fact.kind, fact.tapped_at.isoformat()) == (tap["kind"], tap["at"]) and all(
        fact.what[name] == value for name, value in told.items()
    )


def _stands(company: Company, taps: list[dict[str, Any]] | None = None) -> object:
    """How the day stands by the facts as they came, or in the order of the taps."""
    page = crew_day_page(scope=scope_of(company.cleo), crew_id=company.north.pk, day=MONDAY)
    assert page is not None
    rows = {str(fact.pk): lead_fact(fact) for fact in Fact.objects.order_by("received_at")}
    facts = list(rows.values()) if taps is None else [rows[tap["id"]] for tap in taps]
    progress = day_progress(plan_of(page), facts)
    return progress, finished_counting(facts)
