"""Crowds at one week: one editor gets through, the others are told; fifty clicks are one run."""

from dataclasses import asdict
from typing import Any

import pytest

from scheduling.models import PlanningRun
from tests.people import Company
from tests.trust.crowd import CLICKS, EDITORS, plans_clicked, weeks_edited
from tests.trust.disk import Disk, Figure, disk, figure

__all__ = ["disk", "figure"]
ROUNDS_ON_A_FILE = 8
ROUNDS_ON_A_SERVER = 50


def editors_hold(edited: dict[str, Any], rounds: int, figure: Figure) -> None:
    figure("editors of one week at once", edited)
    assert edited == {
        "rounds": rounds,
        "accepted": rounds,
        "refused": rounds * (EDITORS - 1),
        "lost_updates": 0,
        "revision_gaps": 0,
    }


def clicks_hold(clicked: dict[str, Any], figure: Figure) -> None:
    figure("clicks on Plan at once", clicked)
    (answer,) = clicked["answers"]
    assert answer.startswith("302 /runs/")
    assert clicked["answers"][answer] == CLICKS
    assert (clicked["runs"], clicked["rings"]) == (1, 1)


@pytest.mark.sqlite_only
def test_twenty_editors_of_one_week_on_a_file(disk: Disk, figure: Figure) -> None:
    edited = disk.call("tests.trust.crowd", "edit", str(ROUNDS_ON_A_FILE))
    editors_hold(edited, ROUNDS_ON_A_FILE, figure)


@pytest.mark.sqlite_only
def test_fifty_clicks_are_one_run_on_a_file(disk: Disk, figure: Figure) -> None:
    clicks_hold(disk.call("tests.trust.crowd", "click"), figure)


@pytest.mark.services
@pytest.mark.django_db(transaction=True)
def test_twenty_editors_of_one_week_on_a_server(company: Company, figure: Figure) -> None:
    edited = weeks_edited(company, ROUNDS_ON_A_SERVER)
    editors_hold(asdict(edited), ROUNDS_ON_A_SERVER, figure)


@pytest.mark.services
@pytest.mark.django_db(transaction=True)
def test_fifty_clicks_are_one_run_on_a_server(company: Company, figure: Figure) -> None:
    clicks_hold(plans_clicked(company), figure)
    assert PlanningRun.objects.get().branch == company.fairfield
