"""The whole way once: a sheet goes in, a week is planned and posted, each person sees theirs."""

import json
import random
from contextlib import redirect_stdout
from datetime import timedelta
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core.management import call_command

from contractor.models import Event
from jobs.models import Condition, Job, Space, Step
from scheduling.models import CrewDay, WeekVersion
from scheduling.planning.commands import main
from tests.people import MONDAY, NOW, Company, signed_in

pytestmark = pytest.mark.django_db

HEAD = (
    "note,branch,builder,superintendent,superintendent_email,superintendent_phone,site,address,latitude,"
    "longitude,unit,year_built,ready_date,promised_date,space,kind,area_ft2,bays,length_ft,run_ft,"
    "pitch,depth_in,spacing_in,vent_in,cover,target_r,lb_per_ft3,board_in,framing_in,count"
)
WEEKS = {"branch": "Fairfield yard", "week": "2027-W09", "weeks": 2}


def sheet(tmp_path: Path, seed: int = 7, houses: int = 6) -> Path:
    """Random houses near Fairfield yard, each ready on a day of the first week."""
    chance = random.Random(seed)
    lines = [HEAD]
    for number in range(houses):
        ready = MONDAY + timedelta(days=chance.randrange(4))
        latitude = 41.6005 + chance.uniform(-0.1, 0.1)
        longitude = -93.6091 + chance.uniform(-0.1, 0.1)
        house = (
            f"- gate code at the office,Fairfield yard,Oriole Homes,Ada Quist,ada@oriole.example,"
            f"515-555-0133,Oriole Court {number},{number} Oriole Court,"
            f"{latitude:.5f},{longitude:.5f},A,"
            f"{chance.choice(['', '1931', '1985'])},{ready},{ready + timedelta(days=7)}"
        )
        feet, holes = chance.randrange(100, 300), chance.randrange(10, 60)
        lines.append(f"{house},seal,air_seal,,,{feet},,,,,,,,,,,{holes}")
        if number % 2:
            bays = chance.randrange(8, 30)
            lines.append(f"{house},slopes,slope_bays,,{bays},,12,8,9.25,16,1,board,,3.5,,,")
        lines.append(f"{house},eaves,baffles,,,,,,,,,,,,,,{holes}")
        area = chance.randrange(700, 1800)
        lines.append(f"{house},attic,attic_flat,{area},,,,,,,,,49,,0.625,24,")
    file = tmp_path / "jobs.csv"
    file.write_text("\n".join(lines))
    return file


def printed(command: str, *args: str, **options: object) -> Any:
    out = StringIO()
    call_command(command, *args, stdout=out, stderr=StringIO(), **options)
    return json.loads(out.getvalue())


@time_machine.travel(NOW, tick=True)
def test_a_sheet_becomes_a_posted_week(company: Company, tmp_path: Path) -> None:
    call_command("import_jobs", str(sheet(tmp_path)), stdout=StringIO())
    outcome = printed("plan_week", **WEEKS, seconds=4, post=True)
    assert outcome["unplaced"] == []
    assert outcome["bound"] <= outcome["cost"]
    placed = {part.step_id for day in CrewDay.objects.posted() for part in parts(day)}
    assert placed == set(Step.objects.values_list("pk", flat=True))

    problem, plan = printed("export_problem", **WEEKS), printed("export_plan", **WEEKS)
    assert len(problem["posted"]) == len(placed)
    assert judged(tmp_path, problem, plan)["violations"] == []

    lead = signed_in(company.cleo).get("/crew-days/").content.decode()
    other = signed_in(company.lars).get("/crew-days/").content.decode()
    assert "Oriole Court" in lead
    assert "Oriole Court" not in other
    assert Event.objects.filter(source=Event.Source.COMMAND).exists()


def parts(day: CrewDay):  # type: ignore[no-untyped-def]
    return [part for stop in day.stops.all() for part in stop.parts.all()]


def judged(tmp_path: Path, problem: object, plan: object) -> Any:
    """What the planner's own command says of the exported files."""
    names = []
    for name, content in (("problem", problem), ("plan", plan)):
        file = tmp_path / f"{name}.json"
        file.write_text(json.dumps(content))
        names.append(str(file))
    out = StringIO()
    with redirect_stdout(out):
        main(["check", *names])
    return json.loads(out.getvalue())


@time_machine.travel(NOW, tick=True)
def test_a_slip_after_posting_leaves_an_export_that_is_judged_clean(
    company: Company, tmp_path: Path
) -> None:
    call_command("import_jobs", str(sheet(tmp_path, seed=11)), stdout=StringIO())
    printed("plan_week", **WEEKS, seconds=3, post=True)
    job = Job.objects.order_by("pk").first()
    assert job is not None
    late = MONDAY + timedelta(days=10)
    # Of several parties all are seldom done on the day; one keeps its promise in four of five.
    job.conditions.exclude(owed_by="us").update(state=Condition.State.SEEN_DONE)
    job.conditions.filter(owed_by="builder").update(
        state=Condition.State.PROMISED, promised_for=late
    )
    Space.objects.filter(job=job).update(area_ft2=2000)
    problem, plan = printed("export_problem", **WEEKS), printed("export_plan", **WEEKS)
    assert judged(tmp_path, problem, plan)["violations"] == []
    again = printed("plan_week", **WEEKS, seconds=3)
    assert again["unplaced"] == []
    assert WeekVersion.objects.filter(state="draft").exists()
    assert WeekVersion.objects.filter(state="posted").count() == 2
    after = judged(tmp_path, printed("export_problem", **WEEKS), printed("export_plan", **WEEKS))
    assert after["violations"] == []


def test_a_broken_sheet_names_its_place_and_changes_nothing(
    company: Company, tmp_path: Path
) -> None:
    file = sheet(tmp_path)
    file.write_text(file.read_text().replace("attic_flat", "attic_flatt", 1))
    errors = StringIO()
    with pytest.raises(SystemExit) as ended:
        call_command("import_jobs", str(file), stdout=StringIO(), stderr=errors)
    assert ended.value.code == 1
    assert 'row 4, column kind: "attic_flatt"' in errors.getvalue()
    assert Job.objects.count() == Event.objects.count() == 0
