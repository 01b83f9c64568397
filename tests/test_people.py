"""The invented company can be built, and is what its description says."""

from tests.people import Company, attic_make, job_make, signed_in, site_make


def test_company_has_two_yards_with_their_people(company: Company) -> None:
    assert company.fairfield.crews.count() == 2
    assert company.lowton.crews.get() == company.lowton_crew
    assert company.cleo.crew_member.crew == company.north
    assert company.north.members.count() == 3
    assert company.cellulose.chart.count() == 6


def test_a_house_of_rows_alone(company: Company) -> None:
    space = attic_make(job_make(site_make(company.fairfield)), company.cellulose)
    assert space.job.site.branch == company.fairfield


def test_signed_in_is_signed_in(company: Company) -> None:
    assert signed_in(company.omar).session["_auth_user_id"] == str(company.omar.pk)
