"""Houses with things owed and a crew on its way, for the browser tests of the calls."""

from datetime import timedelta

from django.utils import timezone

from contractor.workdays import IsoWeek
from jobs.localtime import local_date
from scheduling.models import WeekVersion
from tests.jobs.estimates.built import built
from tests.morning import company_this_morning
from tests.people import password_give, site_make
from tests.scheduling.houses import version_make, visit_make

WORK = {"net": 30, "slope_blow": 30, "flat_blow": 30}


def load() -> None:
    """Two people to ring: a crew goes to the house of one of them tomorrow, by today's clock."""
    company = company_this_morning()
    password_give(company.omar)
    company.fairfield.working_weekdays = "1234567"
    company.fairfield.save()
    tomorrow = local_date(company.fairfield, timezone.now()) + timedelta(days=1)
    posted = version_make(company, WeekVersion.State.POSTED, IsoWeek.of(tomorrow))
    site = site_make(company.fairfield, "Mill Street", superintendent="Ann Later")
    built(company, "Lot 9", site=site)
    first = built(company, "Lot 1", site=site_make(company.fairfield), ready_date=None)
    visit_make(posted, company.north, tomorrow, first, WORK)
