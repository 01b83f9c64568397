"""The demo: what a stranger gets, that it is kept, and when it refuses."""

import re
import socket
from datetime import timedelta
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command
from django.test import Client
from pytest_django import Settings

from contractor.models import Branch, LearnedRate, User
from jobs.models import Actual, Condition, EstimateWarning, Finding, Job, Site
from scheduling.demo.company import PASSWORD
from scheduling.management.commands import demo
from scheduling.models import CrewDay, Fact, WeekVersion
from tests.people import NOW, Company

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _development(settings: Settings) -> None:
    settings.DEBUG = True


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> str:
    """What the command prints on its first run."""
    monkeypatch.setattr(demo, "SOLVE_SECONDS", 2)
    return run()


def run() -> str:
    out = StringIO()
    with time_machine.travel(NOW, tick=True):
        call_command("demo", no_serve=True, stdout=out)
    return out.getvalue()


def test_a_stranger_gets_a_company_in_all_states_planned_and_posted(told: str) -> None:
    assert Job.objects.open().count() == 46
    assert Job.objects.filter(state="finished", steps__actuals__isnull=False).exists()
    assert LearnedRate.objects.exists()
    assert set(Condition.objects.values_list("state", flat=True)) == set(Condition.State.values)
    assert EstimateWarning.objects.filter(holds=True).exists()
    assert Site.objects.without_place().count() == 1
    assert Job.objects.exclude(owner_name="").values_list("owner_email", flat=True).count() == 2
    told_of = WeekVersion.objects.exclude(state="replaced").order_by("week__iso_week")
    assert list(told_of.values_list("state", flat=True)) == ["posted", "posted", "draft"]
    days_are_told()
    assert CrewDay.objects.posted().exists()

    for name in ("omar", "olive", "esme", "cleo"):
        assert re.search(rf"\b{name}\b", told)
        assert User.objects.get(username=name).check_password(PASSWORD)
    link = re.search(r"http://127\.0\.0\.1:8000(/c/\S+)", told)
    assert link is not None
    with time_machine.travel(NOW, tick=True):
        assert Client().get(link[1]).status_code == 200

    again = run()
    assert Job.objects.open().count() == 46
    assert "Loading" not in again
    assert "Planning" not in again

    figures = StringIO()
    with time_machine.travel(NOW, tick=True):
        call_command("measure_pages", rounds=2, stdout=figures)
    lines = {line[:12].strip(): line[12:].split() for line in figures.getvalue().splitlines()}
    assert len(lines) == 8
    first, repeat, queries = (float(figure) for figure in lines["crew day"][:3])
    assert (first <= 60, repeat <= 8, queries <= 12) == (True, True, True), lines["crew day"]


def days_are_told() -> None:
    """Yesterday is said to its end, one house turned its crew away; today is said so far."""
    yesterday = NOW.date() - timedelta(days=1)
    said = Fact.objects.filter(day=yesterday)
    assert said.filter(kind="set_out").count() == 3
    assert said.filter(kind="turned_away").count() == 1
    assert Actual.objects.filter(said=True, worked_on=yesterday).exists()
    assert Finding.objects.filter(day=yesterday, could_start=False).count() == 1
    assert Fact.objects.filter(day=NOW.date()).exists()
    assert not Fact.objects.filter(happened_at__gt=NOW + timedelta(minutes=5)).exists()


def test_it_never_mixes_with_another_company(company: Company) -> None:
    with pytest.raises(CommandError, match="another company"):
        call_command("demo", no_serve=True, stdout=StringIO())
    assert Branch.objects.count() == 2


def test_a_busy_port_is_said_before_anything_is_done() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(CommandError, match=rf"Port {port} .* --port {port + 1}"):
            call_command("demo", port=port, stdout=StringIO())
    assert Branch.objects.count() == 0


def test_a_port_that_is_none_is_refused() -> None:
    with pytest.raises(CommandError, match="--port 99999: expected a number from 1 to 65535"):
        call_command("demo", port=99999, stdout=StringIO())


def test_it_runs_in_development_only(settings: Settings) -> None:
    settings.DEBUG = False
    with pytest.raises(CommandError, match="development only"):
        call_command("demo", no_serve=True, stdout=StringIO())
