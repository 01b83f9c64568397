"""Houses with spaces, estimated by the services, for the tests of pages."""

from datetime import date

from jobs.estimates.services.estimate import job_estimate
from jobs.models import Job, Site, Space
from tests.people import ACTOR, MONDAY, NOW, Company, attic_make, job_make, site_make


def built(
    company: Company,
    unit: str = "Lot 1",
    *,
    site: Site | None = None,
    year_built: int | None = None,
    ready_date: date | None = MONDAY,
) -> Job:
    """A house with an attic and slopes behind net, estimated."""
    place = site or company.fairfield.sites.first() or site_make(company.fairfield)
    job = job_make(place, unit, year_built=year_built, ready_date=ready_date)
    attic_make(job, company.cellulose)
    Space.objects.create(
        job=job,
        name="north slope",
        kind=Space.Kind.SLOPE_BAYS,
        bays=22,
        length_ft=16,
        depth_in=9.25,
        spacing_in=16,
        vent_in=1,
        cover=Space.Cover.NET,
        material=company.cellulose,
        lb_per_ft3=3.5,
    )
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


def heavy(company: Company, unit: str = "Lot 9") -> Job:
    """A house whose thin ceiling board is overloaded: its estimate holds the blow."""
    job = job_make(company.fairfield.sites.first() or site_make(company.fairfield), unit)
    space = attic_make(job, company.cellulose)
    Space.objects.filter(pk=space.pk).update(board_in=0.5, target_r=60)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
