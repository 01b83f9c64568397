"""What the sweep of faults breaks of the services about the catalogue of conditions."""

from collections.abc import Callable
from datetime import timedelta

from jobs.catalogue.services.entries import (
    catalogue_add,
    catalogue_change,
    catalogue_restore,
    catalogue_retire,
)
from jobs.catalogue.services.sheet import catalogue_import
from jobs.conditions.states import Grounds
from jobs.estimates.services.estimate import job_estimate
from jobs.models import CatalogueItem, Condition, Job
from jobs.readiness.services.by_hand import condition_add, condition_strike, condition_unstrike
from jobs.readiness.services.condition import condition_move
from jobs.readiness.services.expiry import conditions_expire
from tests.people import ACTOR, NOW, TODAY, Company, attic_make, job_make, site_make

Call = Callable[[], object]
OWN = {
    "name": "dumpster on site",
    "owed_by": "builder",
    "gate": "block",
    "holds": ["flat_blow"],
    "consequence": "Old fill has nowhere to go.",
    "source": "Common practice, no source",
}


def _item() -> CatalogueItem:
    return CatalogueItem.objects.get(code="truck_access")


def of_addition(_company: Company) -> Call:
    return lambda: catalogue_add(values=OWN, actor=ACTOR, now=NOW)


def of_change(_company: Company) -> Call:
    item = _item()
    return lambda: catalogue_change(
        item_id=item.pk, version=1, values={"lead_days": 4}, actor=ACTOR, now=NOW
    )


def of_retiring(_company: Company) -> Call:
    item = _item()
    return lambda: catalogue_retire(item_id=item.pk, version=1, actor=ACTOR, now=NOW)


def of_return(company: Company) -> Call:
    of_retiring(company)()
    item = _item()
    return lambda: catalogue_restore(item_id=item.pk, version=2, actor=ACTOR, now=NOW)


def of_sheet(_company: Company) -> Call:
    sheet = b"code,lead_days,retired\ntruck_access,4,no\nroof_dried_in,9,no\nrater_visit,3,yes\n"
    return lambda: catalogue_import(content=sheet, actor=ACTOR, now=NOW)


def _house(company: Company) -> Job:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


def of_adding(company: Company) -> Call:
    job, item = _house(company), CatalogueItem.objects.get(code="rooms_cleared")
    return lambda: condition_add(
        job_id=job.pk, item_id=item.pk, reason="they live in it", actor=ACTOR, now=NOW
    )


def _ceiling(company: Company) -> Condition:
    return _house(company).conditions.get(code="ceiling_board")


def of_striking(company: Company) -> Call:
    row = _ceiling(company)
    return lambda: condition_strike(
        condition_id=row.pk, version=row.version, reason="old ceiling", actor=ACTOR, now=NOW
    )


def of_bringing_back(company: Company) -> Call:
    row = _ceiling(company)
    row = condition_strike(
        condition_id=row.pk, version=row.version, reason="old ceiling", actor=ACTOR, now=NOW
    )
    return lambda: condition_unstrike(
        condition_id=row.pk, version=row.version, actor=ACTOR, now=NOW
    )


def of_expiry(company: Company) -> Call:
    row = _house(company).conditions.get(code="framing_inspection")
    condition_move(
        condition_id=row.pk,
        version=row.version,
        to_state="promised",
        grounds=Grounds(day=TODAY),
        actor=ACTOR,
        now=NOW,
    )
    return lambda: conditions_expire(actor=ACTOR, now=NOW + timedelta(days=2))


CASES: dict[str, Callable[[Company], Call]] = {
    "catalogue_add": of_addition,
    "catalogue_change": of_change,
    "catalogue_import": of_sheet,
    "catalogue_restore": of_return,
    "catalogue_retire": of_retiring,
    "condition_add": of_adding,
    "condition_strike": of_striking,
    "condition_unstrike": of_bringing_back,
    "conditions_expire": of_expiry,
}
