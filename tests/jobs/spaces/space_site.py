"""Data for the browser's own server: an estimator and a house that nobody has measured yet."""

from jobs.models import Space
from tests.people import company_make, job_make, password_give, site_make


def load() -> None:
    """Esme signs in; job 1 has no space."""
    company = company_make()
    password_give(company.esme)
    job_make(site_make(company.fairfield), ready_date=None, promised_date=None)


def spaces_print() -> None:
    """Print each space that is kept: name, bays and bags."""
    for space in Space.objects.all():
        bags = [step.get("bags") for step in space.estimate["steps"]]
        print(space.name, space.bays, *bags)
