"""Two yards with the same things in each, and what every address of the site is called with."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from functools import partial
from uuid import UUID, uuid4

from django.db import models
from django.utils import timezone

from contractor.files.photos import Picture, photo_keep
from contractor.models import Branch, Crew, Material, OutboxMail, Phone, PhoneLink, Photo, User
from contractor.outbox.services.stops import stop_token
from contractor.phones.services import phone_link_make
from jobs.checklists.services.link import checklist_link_make
from jobs.estimates.services.estimate import job_estimate
from jobs.imports.services import upload_keep
from jobs.models import (
    BackCharge,
    CatalogueItem,
    ChecklistLink,
    Condition,
    EstimateWarning,
    Finding,
    Job,
    Site,
    Space,
    Superintendent,
)
from scheduling.models import CrewDay, Fact, Part, PlanningRun, Stop, TurnedAway, Week, WeekVersion
from tests.contractor.outbox.letters import letter_write
from tests.people import ACTOR, MONDAY, NOW, Company, attic_make, job_make, site_make

MISSING = 987654
MISSING_SECRET = "m" * 43
MISSING_UPLOAD = "00000000-0000-4000-8000-000000000000"

Names = dict[str, object]


@dataclass(frozen=True)
class Yard:
    """One of each noun, all of one branch."""

    branch: Branch
    crew: Crew
    site: Site
    job: Job
    shelf_job: Job
    space: Space
    condition: Condition
    warning: EstimateWarning
    charge: BackCharge
    stop: Stop
    crew_day: CrewDay
    run: PlanningRun
    week: Week
    upload: models.Model
    secret: str
    photo: Photo
    finding: Finding
    fact: Fact
    phone: Phone
    phone_link: PhoneLink
    phone_secret: str


def yard_make(company: Company, branch: Branch, crew: Crew, office: User) -> Yard:
    """A yard with a posted crew-day, a draft, a run that has ended, an upload and a link."""
    site = site_make(branch, f"Site of {branch.name}")
    job = job_make(site)
    attic_make(job, company.cellulose)
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    shelf_job = job_make(site, "Lot 2")
    attic_make(shelf_job, company.cellulose)
    job_estimate(job_id=shelf_job.pk, actor=ACTOR, now=NOW)
    space = job.spaces.get()
    warning = EstimateWarning.objects.create(
        space=space, code="board_load", text="too heavy", holds=True, step_kinds=["flat_blow"]
    )
    week = Week.objects.create(branch=branch, iso_year=2027, iso_week=9)
    posted = WeekVersion.objects.create(week=week, state="posted", created_at=NOW, posted_at=NOW)
    crew_day = CrewDay.objects.create(version=posted, crew=crew, date=MONDAY)
    stop = Stop.objects.create(crew_day=crew_day, job=job, position=1)
    step = job.steps.get()
    minutes = step.crew_minutes[str(crew.members.count())]
    Part.objects.create(stop=stop, step=step, minutes=minutes, step_minutes=minutes)
    run = PlanningRun.objects.create(
        branch=branch, first_monday=MONDAY, state="failed", problem={}, asked_at=NOW, ended_at=NOW
    )
    assert site.superintendent_id is not None
    person = Superintendent.objects.get(pk=site.superintendent_id)
    make = partial(checklist_link_make, superintendent=person, branch=branch, actor=ACTOR, now=NOW)
    _, (_, secret) = make(), make()
    upload = upload_keep(user=office, filename="a.csv", content=b"site\n", now=NOW)
    photo = photo_keep(picture=Picture(b"jpeg", 1, 1), branch=branch, actor=ACTOR, now=NOW)
    letter_write(branch, f"yard {branch.pk}", email=f"yard-{branch.pk}@hazel.example")
    condition = job.conditions.exclude(owed_by="us").first()
    assert condition is not None
    return Yard(
        branch,
        crew,
        site,
        job,
        shelf_job,
        space,
        condition,
        warning,
        _charge(shelf_job),
        stop,
        crew_day,
        run,
        week,
        upload,
        secret,
        photo,
        _finding(job),
        fact_of(crew_day, job),
        *_phone(crew),
    )


def mail_of(yard: Yard) -> OutboxMail:
    """The mail that the yard wrote."""
    return OutboxMail.objects.get(key=f"yard {yard.branch.pk}")


def fact_of(crew_day: CrewDay, job: Job) -> Fact:
    """The crew's word that it set out, by its row alone."""
    return Fact.objects.create(
        id=uuid4(),
        kind="set_out",
        crew=crew_day.crew,
        day=crew_day.date,
        job=job,
        tapped_at=NOW,
        happened_at=NOW,
        received_at=NOW,
        who="tests",
    )


def away_of(yard: Yard) -> TurnedAway:
    """What the office has of the crew's word, as if that were that it was turned away."""
    told = {"branch": yard.branch, "day": MONDAY, "told_at": NOW, "run": yard.run}
    return TurnedAway.objects.get_or_create(fact=yard.fact, defaults=told)[0]


def finished_of(yard: Yard) -> Fact:
    """The crew's word that it finished the step, by its row alone."""
    told = {
        "day": MONDAY,
        "what": {"minutes": 60, "bags": None, "depths_in": [], "whole": True},
        "tapped_at": NOW,
        "happened_at": NOW,
        "received_at": NOW,
        "who": "tests",
        "id": uuid4(),
    }
    step = {"kind": "finished", "crew": yard.crew, "job": yard.job, "step_kind": "flat_blow"}
    return Fact.objects.get_or_create(**step, defaults=told)[0]


def _phone(crew: Crew) -> tuple[Phone, PhoneLink, str]:
    """The phone of the crew's lead, a link to withdraw, and the secret of another one."""
    lead = User.objects.get(crew_member__crew=crew, crew_member__is_lead=True)
    phone = Phone.objects.create(
        person=lead, name="Android, Chrome", made_at=NOW, last_seen_at=timezone.now()
    )
    now = timezone.now()
    _, secret = phone_link_make(person=lead, actor=ACTOR, now=now)
    other = PhoneLink.objects.create(
        person=lead,
        secret_hash=f"of crew {crew.pk}",
        made_at=now,
        expires_at=now + timedelta(hours=1),
    )
    return phone, other, secret


def _finding(job: Job) -> Finding:
    """What a crew found, by its row alone."""
    return Finding.objects.create(
        job=job,
        day=MONDAY,
        could_start=True,
        stated=0.8,
        step_kinds=["flat_blow"],
        recorded_at=NOW,
        who="tests",
    )


def _charge(job: Job) -> BackCharge:
    """A back-charge by its row alone: the job keeps the steps that it has."""
    return BackCharge.objects.create(
        condition=job.conditions.get(code="chases_capped"),
        job=job,
        builder=job.site.builder,
        step_kind="cap_chases",
        measure="chase",
        amount=12,
        crew_minutes={"2": 36},
        person_minutes=72,
        cents_per_hour=3800,
        cents=4560,
        agreed_by="Rosa Reyes",
        taken_by="tests",
        taken_at=NOW,
        taken_on=NOW.date(),
    )


def _material_id() -> int:
    """Materials are the company's, so there is one and the same for both yards."""
    return int(Material.objects.get(key="cellulose").pk)


def _catalogue_id() -> int:
    """The catalogue is the company's too."""
    return int(CatalogueItem.objects.get(code="truck_access").pk)


def _link_id(yard: Yard) -> int:
    """Of a link that may be closed; the other addresses need the yard's own."""
    return int(ChecklistLink.objects.filter(branch=yard.branch).order_by("pk")[0].pk)


# What each address is called with, for a yard; for one that is not there see `missing_names`.
NAMES_OF: dict[str, Callable[[Yard], Names]] = {
    "photo": lambda yard: {"photo_id": yard.photo.pk},
    "job": lambda yard: {"job_id": yard.job.pk},
    "job-dates": lambda yard: {"job_id": yard.job.pk},
    "job-gate": lambda yard: {"job_id": yard.job.pk},
    "job-owner": lambda yard: {"job_id": yard.job.pk},
    "space-new": lambda yard: {"job_id": yard.job.pk},
    "space-look": lambda yard: {"job_id": yard.job.pk},
    "space": lambda yard: {"job_id": yard.job.pk, "space_id": yard.space.pk},
    "space-remove": lambda yard: {"job_id": yard.job.pk, "space_id": yard.space.pk},
    "condition-move": lambda yard: {"job_id": yard.job.pk, "condition_id": yard.condition.pk},
    "job-warning": lambda yard: {"job_id": yard.job.pk, "warning_id": yard.warning.pk},
    "job-checklist-link": lambda yard: {"job_id": yard.job.pk},
    "catalogue-item": lambda _yard: {"item_id": _catalogue_id()},
    "catalogue-change": lambda _yard: {"item_id": _catalogue_id()},
    "catalogue-retire": lambda _yard: {"item_id": _catalogue_id()},
    "api-catalogue-detail": lambda _yard: {"pk": _catalogue_id()},
    "condition-add": lambda yard: {"job_id": yard.job.pk},
    "condition-strike": lambda yard: {"job_id": yard.job.pk, "condition_id": yard.condition.pk},
    "checklist-link-revoke": lambda yard: {"link_id": _link_id(yard)},
    "builder": lambda yard: {"builder_id": yard.site.builder_id},
    "job-found": lambda yard: {"job_id": yard.job.pk},
    "step-actual": lambda yard: {"job_id": yard.job.pk, "step_id": yard.job.steps.get().pk},
    "material": lambda _yard: {"material_id": _material_id()},
    "material-table": lambda _yard: {"material_id": _material_id(), "table": "chart"},
    "material-sheet": lambda _yard: {"material_id": _material_id(), "table": "chart"},
    "site-place": lambda yard: {"site_id": yard.site.pk},
    "import-preview": lambda yard: {"upload_id": yard.upload.pk},
    "stop": lambda yard: {"week": "2027-W09", "stop_id": yard.stop.pk},
    "stop-move": lambda yard: {"week": "2027-W09", "stop_id": yard.stop.pk},
    "stop-take-off": lambda yard: {"week": "2027-W09", "stop_id": yard.stop.pk},
    "job-place": lambda yard: {"week": "2027-W09", "job_id": yard.shelf_job.pk},
    "run": lambda yard: {"run_id": yard.run.pk},
    "run-stop": lambda yard: {"run_id": yard.run.pk},
    "run-cancel": lambda yard: {"run_id": yard.run.pk},
    "run-accept": lambda yard: {"run_id": yard.run.pk},
    "run-throw-away": lambda yard: {"run_id": yard.run.pk},
    "turned-away-seen": lambda yard: {"fact_id": away_of(yard).pk},
    "turned-away-plan": lambda yard: {"fact_id": away_of(yard).pk},
    "crew-day": lambda yard: {"crew_id": yard.crew.pk, "day": MONDAY.isoformat()},
    "crew-day-condition": lambda yard: {
        "crew_id": yard.crew.pk,
        "day": MONDAY.isoformat(),
        "condition_id": yard.condition.pk,
    },
    "mail-one": lambda yard: {"mail_id": mail_of(yard).pk},
    "mail-again": lambda yard: {"mail_id": mail_of(yard).pk},
    "mail-resume": lambda yard: {"address_id": mail_of(yard).address_id},
    "mail-stop": lambda yard: {"token": stop_token(mail_of(yard).address)},
    "phone-end": lambda yard: {"phone_id": yard.phone.pk},
    "phone-link": lambda yard: {"secret": yard.phone_secret},
    "phone-link-end": lambda yard: {"link_id": yard.phone_link.pk},
    "phone-mine-end": lambda yard: {"phone_id": yard.phone.pk},
    "api-phone-detail": lambda yard: {"pk": yard.phone.pk},
    "api-phone-revoke": lambda yard: {"pk": yard.phone.pk},
    "api-phone-link-detail": lambda yard: {"pk": yard.phone_link.pk},
    "api-phone-link-revoke": lambda yard: {"pk": yard.phone_link.pk},
    "checklist": lambda yard: {"secret": yard.secret},
    "checklist-house": lambda yard: {"secret": yard.secret, "job_id": yard.job.pk},
    "checklist-thanks": lambda yard: {"secret": yard.secret, "job_id": yard.job.pk},
    "api-mail-detail": lambda yard: {"pk": mail_of(yard).pk},
    "api-back-charge-detail": lambda yard: {"pk": yard.charge.pk},
    "api-builder-detail": lambda yard: {"pk": yard.site.builder_id},
    "api-finding-detail": lambda yard: {"pk": yard.finding.pk},
    "api-fact-detail": lambda yard: {"pk": yard.fact.pk},
    "fact-correct": lambda yard: {"fact_id": finished_of(yard).pk},
    "api-fact-corrections": lambda yard: {"pk": finished_of(yard).pk},
    "api-fact-photo": lambda yard: {"pk": yard.fact.pk},
    "api-job-detail": lambda yard: {"pk": yard.job.pk},
    "api-week-detail": lambda yard: {"pk": yard.week.pk},
    "api-crew-day-detail": lambda yard: {"pk": yard.crew_day.pk},
}


def missing_names(names: Names) -> Names:
    """The same address for a thing that nobody has."""
    gone: Names = {}
    for name, value in names.items():
        if name == "token":
            gone[name] = "1:unsigned"
        elif name == "secret":
            gone[name] = MISSING_SECRET
        elif name in ("upload_id", "photo_id"):
            gone[name] = MISSING_UPLOAD
        elif name == "day":
            gone[name] = (MONDAY + timedelta(days=364)).isoformat()
        elif isinstance(value, UUID):
            gone[name] = MISSING_UPLOAD
        elif isinstance(value, int):
            gone[name] = MISSING
        else:
            gone[name] = value
    return gone
