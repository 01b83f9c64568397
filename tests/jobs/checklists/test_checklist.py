"""Checklist links: the secret is shown once, opens until it expires or is closed."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.models import Event
from jobs.checklists.queries import checklist_condition, checklist_houses, checklist_link_open
from jobs.checklists.services.link import checklist_link_make, checklist_link_revoke
from jobs.estimates.services.estimate import job_estimate
from jobs.houses.services.customer import site_ensure, superintendent_ensure
from jobs.houses.services.job import job_update
from jobs.models import ChecklistLink, Condition, Job
from tests.people import ACTOR, NOW, Company, attic_make, job_make, site_make


@pytest.fixture
def job(company: Company) -> Job:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


@pytest.fixture
def made(job: Job) -> tuple[ChecklistLink, str]:
    person = job.site.superintendent
    assert person is not None
    return checklist_link_make(superintendent=person, branch=job.site.branch, actor=ACTOR, now=NOW)


def test_the_secret_has_256_bits_and_is_not_kept(made: tuple[ChecklistLink, str]) -> None:
    """32 bytes in base64url without padding are 43 characters (RFC 4648, section 5)."""
    link, secret = made
    assert len(secret) == 43
    assert secret not in str(ChecklistLink.objects.values().get(pk=link.pk))
    assert secret not in str(list(Event.objects.values()))


def test_the_secret_opens_the_superintendents_houses(
    made: tuple[ChecklistLink, str], job: Job, company: Company
) -> None:
    job_make(site_make(company.fairfield, "Elsewhere", superintendent="Ruth Roe"))
    job_make(site_make(company.lowton))
    link = checklist_link_open(made[1], NOW)
    assert link == made[0]
    assert link is not None
    (house,) = checklist_houses(link)
    assert house.job == job
    assert house.conditions
    assert all(condition.owed_by != "us" for condition in house.conditions)


@pytest.mark.parametrize("secret", ["", "x", "a" * 43, "\ud800", "ü" * 10_000])
def test_a_wrong_secret_opens_nothing(made: tuple[ChecklistLink, str], secret: str) -> None:
    assert checklist_link_open(secret, NOW) is None


def test_wrong_expired_and_closed_take_the_same_path(made: tuple[ChecklistLink, str]) -> None:
    link, secret = made
    later = NOW + timedelta(days=61)
    statements = []
    for asked, when in ((secret, NOW), ("wrong", NOW), (secret, later)):
        with CaptureQueriesContext(connection) as asked_of_database:
            checklist_link_open(asked, when)
        statements.append(len(asked_of_database))
    assert checklist_link_open(secret, later) is None
    assert statements == [1, 1, 1]
    checklist_link_revoke(link_id=link.pk, actor=ACTOR, now=NOW)
    assert checklist_link_open(secret, NOW) is None


def test_a_link_lives_sixty_days(made: tuple[ChecklistLink, str]) -> None:
    link, secret = made
    assert link.expires_at - link.created_at == timedelta(days=60)
    assert checklist_link_open(secret, NOW + timedelta(days=59)) is not None


def test_closing_twice_leaves_one_event(made: tuple[ChecklistLink, str]) -> None:
    for _ in range(2):
        checklist_link_revoke(link_id=made[0].pk, actor=ACTOR, now=NOW)
    assert Event.objects.filter(noun="checklistlink", verb="revoked").count() == 1


def test_the_link_closes_when_the_last_house_is_finished(
    made: tuple[ChecklistLink, str], job: Job
) -> None:
    other = job_make(job.site, "Lot 2")
    for number, one in enumerate((job, other)):
        assert (checklist_link_open(made[1], NOW) is not None) == (number < 2)
        job_update(job_id=one.pk, version=1, changes={"state": "finished"}, actor=ACTOR, now=NOW)
    assert checklist_link_open(made[1], NOW) is None


def test_the_link_closes_when_another_person_takes_over(
    made: tuple[ChecklistLink, str], job: Job
) -> None:
    ruth = superintendent_ensure(
        builder=job.site.builder, name="Ruth Roe", contact={}, actor=ACTOR, now=NOW
    )
    site_ensure(
        branch=job.site.branch,
        builder=job.site.builder,
        name=job.site.name,
        values={"superintendent": ruth},
        actor=ACTOR,
        now=NOW,
    )
    assert checklist_link_open(made[1], NOW) is None


def test_only_conditions_of_the_links_own_houses_are_found(
    made: tuple[ChecklistLink, str], job: Job, company: Company
) -> None:
    elsewhere = job_make(site_make(company.fairfield, "Elsewhere", superintendent="Ruth Roe"))
    attic_make(elsewhere, company.cellulose)
    job_estimate(job_id=elsewhere.pk, actor=ACTOR, now=NOW)
    link = made[0]
    own = job.conditions.exclude(owed_by="us").first()
    other = elsewhere.conditions.exclude(owed_by="us").first()
    assert own is not None
    assert other is not None
    assert checklist_condition(link, own.pk) == own
    assert checklist_condition(link, other.pk) is None
    assert checklist_condition(link, 10**9) is None
    Condition.objects.filter(pk=own.pk).update(owed_by="us")
    assert checklist_condition(link, own.pk) is None
