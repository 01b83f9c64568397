"""The command `import_jobs`: its words, its exit status, its help."""

from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from contractor.models import Event
from jobs.models import Job
from tests.jobs.imports.test_import import BOTH, FULL, everything
from tests.jobs.sheets.samples import Row, csv_of
from tests.people import Company


def run(path: Path, capsys: Any, **options: Any) -> str:
    call_command("import_jobs", str(path), **options)
    return str(capsys.readouterr().out)


def sheet(folder: Path, *rows: Row) -> Path:
    path = folder / "jobs.csv"
    path.write_bytes(csv_of(*rows))
    return path


def test_it_says_what_is_new(company: Company, tmp_path: Path, capsys: Any) -> None:
    out = run(sheet(tmp_path, *BOTH), capsys)
    assert "new      Quarry Lane, Lot 14 (Hazel Homes): attic: new; north slope: new" in out
    assert out.endswith("Jobs: 1 new, 0 changed, 0 unchanged.\n")
    assert Job.objects.count() == 1
    assert set(Event.objects.values_list("who", "source")) == {("command import_jobs", "import")}


def test_it_says_what_changes(company: Company, tmp_path: Path, capsys: Any) -> None:
    run(sheet(tmp_path, *BOTH), capsys)
    out = run(sheet(tmp_path, {**FULL, "area_ft2": 1600}, BOTH[1]), capsys)
    assert "changed  Quarry Lane, Lot 14 (Hazel Homes): attic: area_ft2 1500 -> 1600" in out


def test_a_dry_run_says_the_same_and_writes_nothing(
    company: Company, tmp_path: Path, capsys: Any
) -> None:
    before = everything()
    out = run(sheet(tmp_path, *BOTH), capsys, dry_run=True)
    assert "Jobs: 1 new, 0 changed, 0 unchanged. Nothing was written" in out
    assert everything() == before


@pytest.mark.parametrize("dry_run", [True, False])
def test_errors_are_all_listed_and_the_status_is_1(
    company: Company, tmp_path: Path, capsys: Any, dry_run: bool
) -> None:
    path = sheet(tmp_path, {**FULL, "area_ft2": "abc", "target_r": "x"})
    before = everything()
    with pytest.raises(SystemExit) as end:
        call_command("import_jobs", str(path), dry_run=dry_run)
    out = capsys.readouterr()
    lines = out.err.splitlines()
    assert lines[0].startswith('row 2, column area_ft2: "abc"; expected a number of square feet')
    assert lines[1].startswith("row 2, column target_r")
    assert lines[2] == "2 errors; nothing was imported."
    assert (end.value.code, out.out) == (1, "")
    assert everything() == before


def test_a_file_that_is_not_there_is_named(db: None, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"none\.csv: cannot be read"):
        call_command("import_jobs", str(tmp_path / "none.csv"))


def test_its_help_says_what_a_stranger_needs(capsys: Any) -> None:
    with pytest.raises(SystemExit):
        call_command("import_jobs", "--help")
    out = capsys.readouterr().out
    for word in ("FILE", "--dry-run", "promised_date", "slope_bays", "nothing", "2027-03-05"):
        assert word in out
