"""The command that measures latency: what it refuses, and that it leaves people's data alone."""

from unittest.mock import patch

import pytest
from django.core.management import CommandError, call_command

from scheduling.management.scratch_site import scratch_copy
from tests.people import Company
from tests.trust.disk import Disk, disk

__all__ = ["disk"]
COMMAND = "scheduling.management.commands.measure_latency"


@pytest.mark.django_db
def test_without_a_demo_it_says_how_to_load_one() -> None:
    with pytest.raises(CommandError, match=r"manage\.py demo"):
        call_command("measure_latency")


@pytest.mark.parametrize(
    ("option", "value", "expected"),
    [("--seconds", "0", "1 to 300"), ("--links", "-1", "0 to 5000"), ("--at-once", "0", "1 to")],
)
def test_a_wrong_figure_is_named_with_what_was_expected(
    company: Company, option: str, value: str, expected: str
) -> None:
    with (
        patch(f"{COMMAND}.company_there", return_value=company.fairfield),
        pytest.raises(CommandError, match=f"{option} {value}: expected {expected}"),
    ):
        call_command("measure_latency", f"{option}={value}")


@pytest.mark.sqlite_only
def test_a_scratch_copy_is_worked_on_and_thrown_away(disk: Disk) -> None:
    found = disk.call("tests.trust.scratch")
    assert found["after"] == found["before"]
    assert found["in the copy"] == ["Lowton yard", "Scratch yard"]
    assert found["ready"] == "ready\n"
    assert found["gone"]


@pytest.mark.services
@pytest.mark.django_db
def test_a_server_s_database_is_not_copied() -> None:
    with pytest.raises(CommandError, match="unset DATABASE_URL"), scratch_copy():
        pass
