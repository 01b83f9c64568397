"""What the sweep of faults breaks of the services about rates, charts and finished work."""

from collections.abc import Callable
from decimal import Decimal

from jobs.estimates.services.estimate import job_estimate
from jobs.materials.services import material_save, material_table_replace
from jobs.models import Job
from jobs.rates.services.actuals import actual_enter
from jobs.rates.services.rates import rate_pin, rate_unpin, rates_learn, yard_set
from tests.people import ACTOR, NOW, TODAY, Company, attic_make, job_make, site_make

Call = Callable[[], object]
PATH = "machine.feed_bags_per_hour"


def priced(company: Company) -> Job:
    """An open job whose estimate follows the rates."""
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


def of_actual(company: Company) -> Call:
    step = priced(company).steps.get()
    return lambda: actual_enter(
        step_id=step.pk,
        crew=company.north,
        machine=company.blower,
        people=3,
        minutes=200,
        bags=115,
        worked_on=TODAY,
        actor=ACTOR,
        now=NOW,
    )


def of_pin(company: Company) -> Call:
    priced(company)
    return lambda: rate_pin(
        branch=company.fairfield,
        path=PATH,
        value=Decimal(40),
        because="two new hands at the hopper",
        actor=ACTOR,
        now=NOW,
    )


def of_unpin(company: Company) -> Call:
    of_pin(company)()
    return lambda: rate_unpin(branch=company.fairfield, path=PATH, actor=ACTOR, now=NOW)


def of_learning(company: Company) -> Call:
    of_actual(company)()
    return lambda: rates_learn(branch=company.fairfield, actor=ACTOR, now=NOW)


def of_yard(company: Company) -> Call:
    priced(company)
    return lambda: yard_set(
        branch=company.fairfield, values={"hose_ft": Decimal(150)}, actor=ACTOR, now=NOW
    )


def of_material(company: Company) -> Call:
    priced(company)
    return lambda: material_save(
        material_id=company.cellulose.pk,
        version=company.cellulose.version,
        values={"bag_lb": Decimal(28)},
        actor=ACTOR,
        now=NOW,
    )


def of_table(company: Company) -> Call:
    size = {"r": 21, "thickness_in": Decimal("5.5"), "width_in": 15, "package_ft2": 67}
    return lambda: material_table_replace(
        material_id=company.batts.pk,
        version=company.batts.version,
        table="batts",
        rows=[size],
        actor=ACTOR,
        now=NOW,
    )


CASES: dict[str, Callable[[Company], Call]] = {
    "actual_enter": of_actual,
    "material_save": of_material,
    "material_table_replace": of_table,
    "rate_pin": of_pin,
    "rate_unpin": of_unpin,
    "rates_learn": of_learning,
    "yard_set": of_yard,
}
