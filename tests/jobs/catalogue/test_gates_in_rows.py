"""Stops and laws as rows of a job: nobody waives, takes over or strikes them, by any way in.

The sources of the gates stand beside them in tests/published/test_safety_gates.py.
"""

import pytest
from django.db import IntegrityError, transaction

from contractor.events import Actor
from contractor.models import Event
from jobs.conditions.catalogue import CatalogueEntry
from jobs.conditions.entry_json import entry_as_json
from jobs.conditions.seed import SEED
from jobs.conditions.states import Grounds, MoveRefused
from jobs.models import Condition
from jobs.readiness.services.condition import condition_move
from tests.people import ACTOR, NOW, TODAY, Company, job_make, site_make

pytestmark = pytest.mark.django_db
WORD = Grounds(
    day=TODAY, name="Dana Alvarez, building official", reason="seen by her", paper="B-114"
)
STOPS = [entry for entry in SEED if entry.gate == "stop"]
LAWS = [entry for entry in SEED if entry.gate == "law"]


def name_of(entry: CatalogueEntry) -> str:
    return entry.code


def row_of(company: Company, entry: CatalogueEntry) -> Condition:
    """A row of a new job as the catalogue gives it."""
    job = job_make(site_make(company.fairfield))
    return Condition.objects.create(
        job=job,
        code=entry.code,
        name=entry.name,
        owed_by=entry.owed_by,
        gate=entry.gate,
        holds=list(entry.holds),
        entry=entry_as_json(entry),
    )


def actors(company: Company) -> list[Actor]:
    company.olive.may_clear_stop = company.omar.may_clear_stop = True
    people = (company.olive, company.omar, company.esme, company.cleo)
    link = Actor(who="Rosa Reyes", source=Event.Source.LINK)
    return [*map(Actor.of_user, people), link, ACTOR]


def try_move(row: Condition, to_state: str, actor: Actor, grounds: Grounds = WORD) -> Condition:
    return condition_move(
        condition_id=row.pk,
        version=row.version,
        to_state=to_state,
        grounds=grounds,
        actor=actor,
        now=NOW,
    )


@pytest.mark.parametrize("entry", STOPS, ids=name_of)
def test_a_stop_is_waived_by_nobody(company: Company, entry: CatalogueEntry) -> None:
    row = row_of(company, entry)
    for actor in actors(company):
        for to_state in ("waived", "taken_over"):
            with pytest.raises(MoveRefused):
                try_move(row, to_state, actor)
    with pytest.raises(IntegrityError), transaction.atomic():
        Condition.objects.filter(pk=row.pk).update(state="waived", reason="no time")
    row.refresh_from_db()
    assert (row.state, row.version) == ("owed", 1)
    assert not Event.objects.exists()


@pytest.mark.parametrize("entry", LAWS, ids=name_of)
def test_a_law_is_waived_on_the_authority_s_paper_only(
    company: Company, entry: CatalogueEntry
) -> None:
    """IRC R109.1 leaves inspections to the building official; 40 CFR 745 leaves nothing."""
    row, omar = row_of(company, entry), Actor.of_user(company.omar)
    for grounds in (
        Grounds(name="Omar", reason="in a hurry"),
        Grounds(day=TODAY, name="Dana Alvarez"),
        Grounds(day=TODAY, paper="B-114"),
        Grounds(name="Dana Alvarez", paper="B-114"),
    ):
        with pytest.raises(MoveRefused):
            try_move(row, "waived", omar, grounds)
    if entry.never_waived:
        with pytest.raises(MoveRefused, match="cannot be waived by anyone"):
            try_move(row, "waived", omar)
        for actor in actors(company):
            for to_state in ("waived", "taken_over"):
                with pytest.raises(MoveRefused):
                    try_move(row, to_state, actor)
        return
    waived = try_move(row, "waived", omar)
    assert waived.reason == "Dana Alvarez, building official, 2027-02-25, B-114, seen by her"
    assert waived.document == "B-114"
    back = try_move(waived, "owed", omar, Grounds(reason="not done after all"))
    assert (back.state, back.reason) == ("owed", "not done after all")
    with pytest.raises(MoveRefused, match="Say why it is owed again"):
        try_move(try_move(back, "waived", omar), "owed", omar, Grounds())
