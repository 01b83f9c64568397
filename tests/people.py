"""The people, yards and machines of one invented company, which most tests share.

Fairfield yard has two crews, Lowton yard one. `company_make()` builds all of it; the fixture
`company` (tests/conftest.py) is the same thing for tests that ask for it.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal

from django.test import Client

from contractor.events import Actor
from contractor.models import (
    Branch,
    ChartRow,
    Crew,
    CrewMember,
    Machine,
    Material,
    MemberSkill,
    PlanCosts,
    Role,
    Skill,
    User,
    UsualMaterial,
)
from jobs.models import Builder, Job, Site, Space, Superintendent

NOW = datetime(2027, 2, 25, 15, 0, tzinfo=UTC)  # a Thursday morning in the yards' zone
TODAY = NOW.date()
MONDAY = date(2027, 3, 1)  # of ISO week 2027-W09
PASSWORD = "plain words for tests 1"
ALL_SKILLS = tuple(Skill)
ACTOR = Actor.of_command("tests")

# An invented product: per inch, settled density 1.6 lb/ft3, 15 % settling, bags of 25 lb.
_CHART = (
    ("13", "4.37", "3.71", "104/210", "19.81"),
    ("19", "6.39", "5.43", "152/210", "28.95"),
    ("30", "10.08", "8.57", "240/210", "45.71"),
    ("38", "12.77", "10.86", "304/210", "57.90"),
    ("49", "16.47", "14.00", "392/210", "74.67"),
    ("60", "20.17", "17.14", "480/210", "91.43"),
)
_USUAL_CELLULOSE = ("attic_flat", "slope_bays")
_USUAL_BATTS = ("walls", "rim", "knee_wall", "floor")


@dataclass
class Company:
    """Both yards, the materials and everybody who signs in."""

    fairfield: Branch
    lowton: Branch
    north: Crew  # Fairfield: Cleo (lead), Chet, Cora
    south: Crew  # Fairfield: Saul (lead), Sefa
    lowton_crew: Crew  # Lowton: Lars (lead), Lupe
    blower: Machine  # Fairfield's only machine
    lowton_blower: Machine
    cellulose: Material
    batts: Material
    olive: User  # owner
    omar: User  # office, Fairfield
    esme: User  # estimator, Fairfield
    cleo: User  # crew lead of north
    saul: User  # crew lead of south
    lena: User  # office, Lowton
    lars: User  # crew lead of the Lowton crew


def company_make() -> Company:
    """Build the whole invented company."""
    cellulose, batts = cellulose_make(), batts_make()
    fairfield = branch_make("Fairfield yard", "41.600500", "-93.609100", cellulose, batts)
    lowton = branch_make("Lowton yard", "42.030800", "-93.631900", cellulose, batts)
    cleo, saul = (lead_user(name, fairfield) for name in ("cleo", "saul"))
    lars = lead_user("lars", lowton)
    return Company(
        fairfield=fairfield,
        lowton=lowton,
        north=crew_make(fairfield, "North", cleo, "Chet Brook", "Cora Field"),
        south=crew_make(fairfield, "South", saul, "Sefa Stone"),
        lowton_crew=crew_make(lowton, "Lowton", lars, "Lupe Marsh"),
        blower=machine_make(fairfield, "Blower 1"),
        lowton_blower=machine_make(lowton, "Blower L"),
        cellulose=cellulose,
        batts=batts,
        olive=user_make("olive", Role.OWNER, None, is_staff=True),
        omar=user_make("omar", Role.OFFICE, fairfield),
        esme=user_make("esme", Role.ESTIMATOR, fairfield),
        cleo=cleo,
        saul=saul,
        lena=user_make("lena", Role.OFFICE, lowton),
        lars=lars,
    )


def branch_make(
    name: str, latitude: str, longitude: str, loose_fill: Material, batts: Material
) -> Branch:
    """A yard with costs and the usual material of each kind of space."""
    branch = Branch.objects.create(
        name=name, latitude=Decimal(latitude), longitude=Decimal(longitude)
    )
    PlanCosts.objects.create(branch=branch)
    for kinds, material in ((_USUAL_CELLULOSE, loose_fill), (_USUAL_BATTS, batts)):
        for kind in kinds:
            UsualMaterial.objects.create(branch=branch, space_kind=kind, material=material)
    return branch


def cellulose_make() -> Material:
    """An invented loose fill with its chart."""
    material = Material.objects.create(
        key="cellulose",
        name="Test cellulose",
        kind=Material.Kind.LOOSE_FILL,
        bag_lb=Decimal(25),
        open_lb_per_ft3=Decimal("1.6"),
        dense_lb_per_ft3=Decimal("3.5"),
        dense_minimum_lb_per_ft3=Decimal("3.5"),
        chart_source="invented for tests",
    )
    for r, initial_in, settled_in, lb_per_ft2, bags in _CHART:
        ChartRow.objects.create(
            material=material,
            r=Decimal(r),
            initial_in=Decimal(initial_in),
            settled_in=Decimal(settled_in),
            lb_per_ft2=lb_per_ft2,
            bags_per_1000_ft2=Decimal(bags),
        )
    return material


def batts_make() -> Material:
    """Invented batts by the package."""
    return Material.objects.create(
        key="batts", name="Test batts", kind=Material.Kind.BATT, package_ft2=Decimal(67)
    )


def user_make(username: str, role: Role, branch: Branch | None, *, is_staff: bool = False) -> User:
    """Somebody who signs in (see `signed_in`; `password_give` where a test types the password)."""
    user = User(
        username=username,
        first_name=username.capitalize(),
        role=role,
        branch=branch,
        is_staff=is_staff,
        is_superuser=is_staff,
        may_clear_stop=role == Role.OWNER,
    )
    user.set_unusable_password()
    user.save()
    return user


def lead_user(username: str, branch: Branch) -> User:
    """The account of a crew lead."""
    return user_make(username, Role.CREW_LEAD, branch)


def crew_make(branch: Branch, name: str, lead: User, *others: str) -> Crew:
    """A crew whose members can all do everything."""
    crew = Crew.objects.create(branch=branch, name=name)
    names = [lead.first_name, *others]
    for index, member_name in enumerate(names):
        user = lead if index == 0 else None
        member = CrewMember.objects.create(
            crew=crew, name=member_name, is_lead=index == 0, user=user
        )
        MemberSkill.objects.bulk_create(
            MemberSkill(member=member, skill=skill) for skill in ALL_SKILLS
        )
    return crew


def machine_make(branch: Branch, name: str) -> Machine:
    """A blowing machine with usual rates."""
    return Machine.objects.create(branch=branch, name=name)


def password_give(user: User, password: str = PASSWORD) -> User:
    """Let the person sign in by form; slow on purpose (Argon2), so only where it is tested."""
    user.set_password(password)
    user.save(update_fields=["password"])
    return user


def signed_in(user: User) -> Client:
    """A browser in which the person is signed in."""
    client = Client()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def site_make(
    branch: Branch,
    name: str = "Quarry Lane 1",
    *,
    builder: str = "Hazel Homes",
    superintendent: str = "Rosa Reyes",
    latitude: str | None = "41.650000",
    longitude: str | None = "-93.700000",
) -> Site:
    """A site of an invented builder, by rows alone: no service and no event."""
    owner, _ = Builder.objects.get_or_create(name=builder)
    person, _ = Superintendent.objects.get_or_create(
        builder=owner,
        name=superintendent,
        defaults={"email": "rosa@hazel.example", "phone": "515-555-0142"},
    )
    return Site.objects.create(
        branch=branch,
        builder=owner,
        superintendent=person,
        name=name,
        address="1 Quarry Lane",
        latitude=None if latitude is None else Decimal(latitude),
        longitude=None if longitude is None else Decimal(longitude),
    )


def job_make(
    site: Site,
    unit: str = "Lot 1",
    *,
    ready_date: date | None = MONDAY,
    promised_date: date | None = date(2027, 3, 12),
    year_built: int | None = None,
) -> Job:
    """A job without spaces; `attic_make` and `jobs.services.job_estimate` give it work."""
    return Job.objects.create(
        site=site,
        unit=unit,
        ready_date=ready_date,
        promised_date=promised_date,
        year_built=year_built,
        created_at=NOW,
    )


def attic_make(job: Job, material: Material, name: str = "attic", area_ft2: int = 1500) -> Space:
    """An attic flat of R-49 on 5/8 in board at 24 in."""
    return Space.objects.create(
        job=job,
        name=name,
        kind=Space.Kind.ATTIC_FLAT,
        area_ft2=Decimal(area_ft2),
        target_r=Decimal(49),
        material=material,
        board_in=Decimal("0.625"),
        framing_in=Decimal(24),
    )
