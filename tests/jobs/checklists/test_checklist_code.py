"""Short codes of checklists: kept as a keyed hash, hard to guess, counted, closed with the link."""

from datetime import timedelta

import pytest

from contractor.access import scope_of
from contractor.models import Event
from jobs.checklists import link_code
from jobs.checklists.link_code import SIGNS, code_make, code_read, code_text, place_hash
from jobs.checklists.queries import checklist_link_open, code_open, links_alive
from jobs.checklists.services.code import checklist_code_make, code_enter, code_try
from jobs.checklists.services.link import checklist_link_make, checklist_link_revoke
from jobs.estimates.services.estimate import job_estimate
from jobs.models import ChecklistCode, ChecklistLink, CodeTry, Job
from tests.people import ACTOR, NOW, Company, attic_make, job_make, site_make

HERE, THERE = "192.0.2.7", "198.51.100.9"  # addresses for documentation, RFC 5737


@pytest.fixture
def job(company: Company) -> Job:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


@pytest.fixture
def link(job: Job) -> ChecklistLink:
    person = job.site.superintendent
    assert person is not None
    made = checklist_link_make(superintendent=person, branch=job.site.branch, actor=ACTOR, now=NOW)
    return made[0]


def tried(address: str = HERE) -> CodeTry:
    found = code_try(address=address, now=NOW)
    assert found is not None
    return found


def test_a_code_has_eight_signs_that_nobody_confuses_and_is_not_kept(link: ChecklistLink) -> None:
    row, code = checklist_code_make(link=link, actor=ACTOR, now=NOW)
    assert len(code) == 8
    assert set(code) <= set(SIGNS)
    assert not set("01ILOUB8") & (set(SIGNS) - {"8"})
    for kept in (ChecklistCode.objects.values().get(), list(Event.objects.values())):
        assert code not in str(kept)
    assert row.expires_at == NOW + timedelta(days=30)


def test_the_chance_of_a_guess_is_what_the_module_says() -> None:
    """Guesses times live codes over all codes: expected hits, an upper bound of the chance."""
    space = len(SIGNS) ** link_code.SIGNS_IN_CODE
    hours, alive = 24 * link_code.CODE_DAYS, 1000
    assert space / (link_code.TRIES_AN_HOUR * hours * alive) > 2_300
    assert space / (link_code.TRIES_OF_A_PLACE * hours * alive) > 69_000
    assert "one in 2,300" in (link_code.__doc__ or "")
    assert "one in 69,000" in (link_code.__doc__ or "")


def test_signs_come_evenly() -> None:
    """Chi-square of 29 signs over 8,000 draws; 28 degrees of freedom: above 70 is one in 1e5."""
    drawn = "".join(code_make() for _ in range(1000))
    expected = len(drawn) / len(SIGNS)
    assert sum((drawn.count(sign) - expected) ** 2 / expected for sign in SIGNS) < 70


def test_without_the_site_s_secret_the_hash_cannot_be_tried(settings: object) -> None:
    before = link_code.code_hash("ACDE2345")
    settings.SECRET_KEY = "another secret of the same site"  # type: ignore[attr-defined]
    assert link_code.code_hash("ACDE2345") != before


@pytest.mark.parametrize(
    "typed", ["ACDE-2345", "acde2345", " acde 2345 ", "ac-de–23 45", "ＡCDE2345"]
)
def test_a_code_is_read_however_it_is_typed(typed: str) -> None:
    assert code_text("ACDE2345") == "ACDE-2345"
    assert code_read(typed) == "ACDE2345"


def test_a_code_opens_a_link_of_its_own(link: ChecklistLink) -> None:
    _, code = checklist_code_make(link=link, actor=ACTOR, now=NOW)
    secret = code_enter(typed=code_text(code).lower(), tried=tried(), now=NOW)
    assert secret is not None
    opened = checklist_link_open(secret, NOW)
    assert opened is not None
    assert opened != link
    assert (opened.superintendent, opened.branch) == (link.superintendent, link.branch)
    assert opened.expires_at == link.expires_at
    assert CodeTry.objects.count() == 0  # a right one is not counted
    assert Event.objects.get(verb="entered").who == "somebody with a code of Rosa Reyes"
    assert list(links_alive(scope_of(None), NOW)) == []  # type: ignore[arg-type]


@pytest.mark.parametrize("typed", ["", "ACDE-2346", "\ud800", "ü" * 10_000, "a\x00b"])
def test_a_wrong_code_opens_nothing_and_is_counted(link: ChecklistLink, typed: str) -> None:
    checklist_code_make(link=link, actor=ACTOR, now=NOW)
    assert code_enter(typed=typed, tried=tried(), now=NOW) is None
    assert CodeTry.objects.count() == 1
    assert ChecklistLink.objects.count() == 1


def test_an_expired_code_and_one_of_a_closed_link_open_nothing(link: ChecklistLink) -> None:
    _, code = checklist_code_make(link=link, actor=ACTOR, now=NOW)
    assert code_open(code, NOW + timedelta(days=30)) is None
    secret = code_enter(typed=code, tried=tried(), now=NOW)
    assert secret is not None
    checklist_link_revoke(link_id=link.pk, actor=ACTOR, now=NOW)
    assert code_open(code, NOW) is None
    assert checklist_link_open(secret, NOW) is None  # what the code opened closes too
    assert Event.objects.filter(verb="revoked").count() == 2


def test_a_code_dies_with_a_link_that_ends_sooner(link: ChecklistLink) -> None:
    link.expires_at = NOW + timedelta(days=2)
    link.save()
    row, code = checklist_code_make(link=link, actor=ACTOR, now=NOW)
    assert row.expires_at == link.expires_at
    assert code_open(code, NOW + timedelta(days=2)) is None


@pytest.mark.django_db
def test_a_place_has_ten_tries_an_hour_and_cannot_use_up_everybody_s() -> None:
    assert all(code_try(address=HERE, now=NOW) for _ in range(10))
    assert [code_try(address=HERE, now=NOW) for _ in range(400)] == [None] * 400
    assert CodeTry.objects.count() == 10
    assert code_try(address=THERE, now=NOW)
    later = NOW + timedelta(hours=1)
    assert code_try(address=HERE, now=later)
    assert CodeTry.objects.count() == 1  # the old ones are forgotten


@pytest.mark.django_db
def test_many_places_together_have_three_hundred_tries_an_hour() -> None:
    for place in range(30):
        for _ in range(10):
            tried(f"192.0.2.{place}")
    assert code_try(address=THERE, now=NOW) is None


def test_an_ipv6_household_is_one_place_and_no_address_is_kept() -> None:
    """2001:db8::/32 is for documentation (RFC 3849); a site gets a /64 or more (RFC 6177)."""
    assert place_hash("2001:db8:1:2::3") == place_hash("2001:db8:1:2:ffff::9")
    assert place_hash("2001:db8:1:2::3") != place_hash("2001:db8:1:3::3")
    assert place_hash("::ffff:192.0.2.7") == place_hash(HERE)
    assert place_hash("nonsense") == place_hash("")
    assert HERE not in place_hash(HERE)
