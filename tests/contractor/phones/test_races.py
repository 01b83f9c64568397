"""One link used by many at once: one phone, on a file and on a server."""

from typing import Any

import pytest

from tests.contractor.phones.crowd import BROWSERS, link_used
from tests.people import Company
from tests.trust.disk import Disk, Figure, disk, figure

__all__ = ["disk", "figure"]
ONE_OF_ALL = {"phones": 1, "phones let in": 1, "events": 1}


def holds(used: dict[str, Any], figure: Figure) -> None:
    figure("a phone's link used at once", used)
    assert used["browsers"] == {"let in": 1, **ONE_OF_ALL}
    assert used["taps"] == {"let in": BROWSERS, **ONE_OF_ALL}
    assert used["withdrawn"] == {"winners": 1, "states": 1, "phones as said": 1}


@pytest.mark.sqlite_only
def test_a_link_used_by_many_at_once_on_a_file(disk: Disk, figure: Figure) -> None:
    holds(disk.call("tests.contractor.phones.crowd"), figure)


@pytest.mark.services
@pytest.mark.django_db(transaction=True)
def test_a_link_used_by_many_at_once_on_a_server(company: Company, figure: Figure) -> None:
    holds(link_used(company), figure)
