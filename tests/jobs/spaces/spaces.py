"""A house to measure and the ways to type it in, for the tests of the space's pages."""

from typing import Any

from django.urls import reverse

from jobs.models import Job, Space
from tests.people import Company, signed_in

# A gable house of 28 by 40 ft, roof 6/12, all of it a cathedral ceiling: 2x12 rafters, 1 in of
# vent, dense 3.5 lb/ft3, bags of 25 lb. Own arithmetic, by hand:
#   slope = 14 x sqrt(1 + (6/12)^2) = 15.6525 ft;  fill = 11.25 - 1 = 10.25 in
#   24 in: 2 x 40 / 2 = 40 bays; 40 x 22.5 x 10.25 x 15.6525 / 144 = 1,002.74 ft3
#          x 3.5 = 3,509.6 lb; / 25 = 140.4, so 141 bags
#   16 in: 2 x 30 = 60 bays; 60 x 14.5 x 10.25 x 15.6525 / 144 = 969.31 ft3
#          x 3.5 = 3,392.6 lb; / 25 = 135.7, so 136 bags
HOUSE = {
    "pitch": "6/12",
    "house_width_ft": "28",
    "house_length_ft": "40",
    "depth_in": "2x12",
    "vent_in": "1",
    "lb_per_ft3": "3.5",
    "name": "roof",
}
ATTIC = {"area_ft2": "1500", "target_r": "49", "board_in": "5/8", "framing_in": "24"}


def new_page(job: Job, kind: str) -> str:
    return f"{reverse('space-new', args=[job.pk])}?kind={kind}"


def page_of(space: Space) -> str:
    return reverse("space", args=[space.job_id, space.pk])


def given(company: Company, job: Job, **data: Any) -> dict[str, Any]:
    material = str(company.cellulose.pk)
    return {"version": str(job.version), "name": "space", "material": material, **data}


def post_new(company: Company, job: Job, kind: str, action: str = "save", **data: Any) -> Any:
    all_data = given(company, job, action=action, **data)
    return signed_in(company.esme).post(new_page(job, kind), all_data, follow=True)


def look(company: Company, job: Job, kind: str, **data: Any) -> Any:
    address = reverse("space-look", args=[job.pk])
    all_data = given(company, job, kind=kind, space="", **data)
    return signed_in(company.esme).post(address, all_data)
