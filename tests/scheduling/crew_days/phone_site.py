"""Data for the browser's own server: a day posted today, and a link to its superintendent."""

from datetime import UTC, datetime

from contractor.workdays import IsoWeek
from jobs.checklists.services.link import checklist_link_make
from jobs.localtime import local_date
from jobs.models import Site, Superintendent
from scheduling.models import CrewDay, WeekVersion
from tests.jobs.estimates.built import built, heavy
from tests.morning import company_this_morning
from tests.people import ACTOR, password_give, site_make
from tests.scheduling.crew_days.phones import WORK
from tests.scheduling.houses import version_make, visit_make

MAKE_LINK = "from tests.scheduling.crew_days.phone_site import secret_print as f; f()"


def load() -> None:
    """Two houses for the North crew today, an old house, a doubtful ceiling, a site unplaced."""
    company = company_this_morning()
    company.cleo.may_clear_stop = True
    company.cleo.save()
    for user in (company.omar, company.cleo):
        password_give(user)
    today = local_date(company.fairfield, datetime.now(UTC))
    version = version_make(company, WeekVersion.State.POSTED, IsoWeek.of(today))
    quarry = site_make(company.fairfield)
    old = site_make(company.fairfield, "Harbor Row", builder="Ola Eriksson", superintendent="Ola")
    visit_make(version, company.north, today, built(company, "Lot 1", site=quarry), WORK)
    visit_make(version, company.north, today, built(company, "", site=old, year_built=1931), WORK)
    CrewDay.objects.get().machines.add(company.blower)
    heavy(company)
    site_make(company.fairfield, "Elm Court", latitude=None, longitude=None)


def secret_print() -> None:
    """Print the secret of a new link of the superintendent Rosa Reyes."""
    person = Superintendent.objects.get(name="Rosa Reyes")
    branch = Site.objects.get(name="Quarry Lane 1").branch
    made = checklist_link_make(
        superintendent=person, branch=branch, actor=ACTOR, now=datetime.now(UTC)
    )
    print(made[1])
