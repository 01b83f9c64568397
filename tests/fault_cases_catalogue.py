"""What the sweep of faults breaks of the services about the catalogue of conditions."""

from collections.abc import Callable

from jobs.models import CatalogueItem
from jobs.services import catalogue_add, catalogue_change, catalogue_restore, catalogue_retire
from tests.people import ACTOR, NOW, Company

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


CASES: dict[str, Callable[[Company], Call]] = {
    "catalogue_add": of_addition,
    "catalogue_change": of_change,
    "catalogue_restore": of_return,
    "catalogue_retire": of_retiring,
}
