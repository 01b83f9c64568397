"""The invented company's branch, people, crews, machines and materials; knows no job."""

from datetime import date, timedelta
from decimal import Decimal

from contractor.models import (
    Branch,
    ChartRow,
    Crew,
    CrewMember,
    DayOff,
    Holiday,
    Machine,
    Material,
    MemberSkill,
    PlanCosts,
    Role,
    Skill,
    User,
    UsualMaterial,
)
from contractor.workdays import holiday_dates

# The zone of the invented yard: its today is the demo's today.
ZONE = "America/Chicago"
PASSWORD = "cellulose and coffee"  # noqa: S105 - printed on purpose; the demo refuses DEBUG=0
BRANCH = "Cedar Ford"
_ALL = tuple(Skill)
_SEAL_AND_BATT = (Skill.AIR_SEAL, Skill.BAFFLES, Skill.BATT)

# Crew, pace, members (the first leads), skills of everybody on it.
_CREWS = (
    ("Pine", "0.95", ("Cleo Marsh", "Chet Brook", "Cora Field"), _ALL),
    ("Oak", "1.00", ("Saul Ridge", "Sefa Stone", "Silas Reed"), _ALL),
    ("Maple", "1.00", ("Ines Valle", "Iker Luna"), _ALL),
    ("Birch", "1.10", ("Tomas Rivas", "Tess Hollow"), _ALL),
    ("Hazel", "1.05", ("Nora Finch", "Ned Sparrow"), _SEAL_AND_BATT),
)
_LEAD_PHONES = {
    "Cleo Marsh": "515-555-0151",
    "Saul Ridge": "515-555-0152",
    "Ines Valle": "515-555-0153",
    "Tomas Rivas": "515-555-0154",
    "Nora Finch": "515-555-0155",
}
_MACHINES = (("Big Blue", 2400, 840), ("Trailer 2", 1500, 525), ("Old Faithful", 1200, 420))
# R, initial in, settled in, lb/ft2, bags per 1,000 ft2: per inch, 1.6 lb/ft3 settled,
# 15 % of the initial thickness settling, 25-lb bags. An invented chart that agrees with itself.
_CELLULOSE = (
    ("13", "4.37", "3.71", "52/105", "19.8"),
    ("19", "6.39", "5.43", "76/105", "29.0"),
    ("22", "7.39", "6.29", "88/105", "33.5"),
    ("30", "10.08", "8.57", "8/7", "45.7"),
    ("38", "12.77", "10.86", "152/105", "57.9"),
    ("49", "16.47", "14.00", "28/15", "74.7"),
    ("60", "20.17", "17.14", "16/7", "91.4"),
)


def company_build(*, today: date) -> Branch:
    """Make the branch with everything it owns, and the people who sign in."""
    branch = Branch.objects.create(
        name=BRANCH,
        address="12 Depot Street, Cedar Ford",
        phone="515-555-0100",
        latitude=Decimal("41.845000"),
        longitude=Decimal("-93.210000"),
        time_zone=ZONE,
    )
    PlanCosts.objects.create(branch=branch)
    for year in (today.year - 1, today.year, today.year + 1):
        Holiday.objects.bulk_create(
            Holiday(branch=branch, date=day, name=name) for day, name in holiday_dates(year).items()
        )
    _materials(branch)
    for name, open_rate, dense_rate in _MACHINES:
        Machine.objects.create(
            branch=branch, name=name, open_lb_per_hour=open_rate, dense_lb_per_hour=dense_rate
        )
    _people(branch)
    _crews(branch, today)
    return branch


def _materials(branch: Branch) -> None:
    cellulose = Material.objects.create(
        key="cellulose",
        name="cellulose, 25 lb bags",
        kind=Material.Kind.LOOSE_FILL,
        bag_lb=Decimal(25),
        open_lb_per_ft3=Decimal("1.6"),
        dense_lb_per_ft3=Decimal("3.5"),
        dense_minimum_lb_per_ft3=Decimal("3.5"),
        chart_source="invented chart of the demo, not a label",
    )
    ChartRow.objects.bulk_create(
        ChartRow(
            material=cellulose,
            r=Decimal(r),
            initial_in=Decimal(initial_in),
            settled_in=Decimal(settled_in),
            lb_per_ft2=lb_per_ft2,
            bags_per_1000_ft2=Decimal(bags),
        )
        for r, initial_in, settled_in, lb_per_ft2, bags in _CELLULOSE
    )
    batts = Material.objects.create(
        key="batts", name="fiberglass batts", kind=Material.Kind.BATT, package_ft2=Decimal("88.1")
    )
    usual = {
        cellulose: ("attic_flat", "slope_bays"),
        batts: ("walls", "rim", "knee_wall", "floor"),
    }
    for material, kinds in usual.items():
        for kind in kinds:
            UsualMaterial.objects.create(branch=branch, space_kind=kind, material=material)


def _people(branch: Branch) -> None:
    _user("olive", "Olive Hart", Role.OWNER, None, is_staff=True)
    _user("omar", "Omar Bell", Role.OFFICE, branch)
    _user("esme", "Esme Ward", Role.ESTIMATOR, branch)


def _user(username: str, name: str, role: Role, branch: Branch | None, **more: bool) -> User:
    first, _, last = name.partition(" ")
    user = User(
        username=username, first_name=first, last_name=last, role=role, branch=branch, **more
    )
    user.is_superuser = user.is_staff
    user.set_password(PASSWORD)
    user.save()
    return user


def _crews(branch: Branch, today: date) -> None:
    for name, pace, members, skills in _CREWS:
        crew = Crew.objects.create(branch=branch, name=name, pace=Decimal(pace))
        for index, member_name in enumerate(members):
            _member(crew, member_name, skills, leads=index == 0)
    # One person and one machine are away next week, so that the plan has something to heed.
    monday = today + timedelta(days=7 - today.weekday())
    DayOff.objects.create(
        member=CrewMember.objects.get(name="Silas Reed"),
        first_date=monday,
        last_date=monday + timedelta(days=1),
        reason="course",
    )
    DayOff.objects.create(
        machine=Machine.objects.get(name="Old Faithful"),
        first_date=monday,
        last_date=monday,
        reason="new seals",
    )


def _member(crew: Crew, name: str, skills: tuple[Skill, ...], *, leads: bool) -> None:
    user = None
    if leads:
        user = _user(name.split(maxsplit=1)[0].lower(), name, Role.CREW_LEAD, crew.branch)
        user.language = "es" if name in {"Ines Valle", "Tomas Rivas"} else "en"
        user.may_clear_stop = name == "Saul Ridge"
        user.save(update_fields=["language", "may_clear_stop"])
    member = CrewMember.objects.create(
        crew=crew, name=name, is_lead=leads, user=user, phone=_LEAD_PHONES.get(name, "")
    )
    MemberSkill.objects.bulk_create(MemberSkill(member=member, skill=skill) for skill in skills)
