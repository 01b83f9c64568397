"""Measured drive minutes by sheet: what is taken, what is refused, what the planner then sees."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from contractor.models import DriveTime, Event
from jobs.houses.services.drives import DrivesRefused, DrivesTaken, drive_times_import
from scheduling.gather.gathered import gather
from tests.people import ACTOR, NOW, TODAY, Company, site_make
from tests.scheduling.houses import WEEK, house_make

pytestmark = pytest.mark.django_db


def take(company: Company, *lines: str) -> DrivesTaken:
    content = "\n".join(["from,to,minutes", *lines]).encode()
    return drive_times_import(branch=company.fairfield, content=content, actor=ACTOR, now=NOW)


def refused(company: Company, *lines: str) -> str:
    with pytest.raises(DrivesRefused) as refusal:
        take(company, *lines)
    assert DriveTime.objects.count() == Event.objects.count() == 0
    return str(refusal.value)


def test_measured_minutes_hold_both_ways_in_the_problem(company: Company) -> None:
    house_make(company, "Lot 1", {"flat_blow": 100})
    assert take(company, "yard,Quarry Lane 1,77") == DrivesTaken(1, 0, 0)
    problem = gather(branch=company.fairfield, first=WEEK, weeks=1, today=TODAY).problem
    assert problem.travel_minutes[0][1] == problem.travel_minutes[1][0] == 77


def test_the_same_sheet_again_changes_nothing_and_a_new_figure_changes_its_drive(
    company: Company,
) -> None:
    site_make(company.fairfield)
    take(company, "yard,Quarry Lane 1,20")
    assert take(company, "yard,Quarry Lane 1,20") == DrivesTaken(0, 0, 1)
    assert Event.objects.count() == 1
    assert take(company, "yard,Quarry Lane 1,25") == DrivesTaken(0, 1, 0)
    assert DriveTime.objects.get().minutes == 25


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("yard,Nowhere 9,20", 'row 2, column to: "Nowhere 9"; expected yard, or a site of Fair'),
        ("yard,Quarry Lane 1,soon", 'row 2, column minutes: "soon"; expected whole minutes'),
        ("yard,Quarry Lane 1,2.5", "column minutes"),
        ("yard,Quarry Lane 1,-1", "column minutes"),
        (",Quarry Lane 1,9", "row 2, column from"),
        ("yard,yard,9", "expected another place"),
    ],
)
def test_what_is_wrong_is_named_and_nothing_is_taken(
    company: Company, line: str, said: str
) -> None:
    site_make(company.fairfield)
    assert said in refused(company, line)


def test_all_errors_are_listed(company: Company) -> None:
    site_make(company.fairfield)
    errors = refused(company, "yard,Nowhere 9,20", "yard,Quarry Lane 1,x")
    assert "row 2" in errors
    assert "row 3" in errors


def test_a_drive_stands_once(company: Company) -> None:
    site_make(company.fairfield)
    assert "row 3, column to" in refused(company, *["yard,Quarry Lane 1,20"] * 2)


def test_another_branch_s_site_is_not_known(company: Company) -> None:
    site_make(company.lowton, "Mill Road 2")
    assert "a site of Fairfield yard" in refused(company, "yard,Mill Road 2,20")


def test_other_columns_are_refused(company: Company) -> None:
    with pytest.raises(DrivesRefused, match="expected the columns from, to and minutes"):
        drive_times_import(branch=company.fairfield, content=b"a,b\n1,2\n", actor=ACTOR, now=NOW)


def test_the_command_reads_a_file_and_names_an_unknown_branch(
    company: Company, tmp_path: Path
) -> None:
    site_make(company.fairfield)
    file, out = tmp_path / "drives.csv", StringIO()
    file.write_text("minutes,from,to\n20,yard,Quarry Lane 1\n")
    call_command("import_drives", str(file), branch="Fairfield yard", stdout=out)
    assert "1 new" in out.getvalue()
    with pytest.raises(CommandError, match="expected one of: Fairfield yard, Lowton yard"):
        call_command("import_drives", str(file), branch="Elsewhere")
    file.write_text("minutes,from,to\n20,yard,Nowhere\n")
    errors = StringIO()
    with pytest.raises(SystemExit):
        call_command("import_drives", str(file), branch="Fairfield yard", stderr=errors)
    assert "Nothing was imported" in errors.getvalue()
