"""A house that is lived in, to which a crew comes on Tuesday; and the clock on its wall."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from contractor.models import OutboxMail
from jobs.models import Job
from scheduling.models import WeekVersion, WindowTold
from scheduling.progress import Window
from tests.people import Company
from tests.scheduling.houses import day, house_make, version_make, visit_make

CHICAGO = ZoneInfo("America/Chicago")
TUESDAY = day(1)


def wall(on: date, hour: int, minute: int = 0) -> datetime:
    """The moment at which the clock on the wall of the yard shows this."""
    return datetime(on.year, on.month, on.day, hour, minute, tzinfo=CHICAGO).astimezone(UTC)


MONDAY_LATE = wall(day(0), 16, 45)
MONDAY_NIGHT = wall(day(0), 22)
TUESDAY_EARLY = wall(TUESDAY, 6, 30)


def old_house(company: Company, *, email: str = "ida@example.com", language: str = "en") -> Job:
    """Ida Nolan's house of 1938; the site has no superintendent."""
    job = house_make(company, "", {"flat_blow": 120}, site="3 Elm Row")
    job.site.superintendent = None
    job.site.save()
    Job.objects.filter(pk=job.pk).update(
        year_built=1938,
        owner_name="Ida Nolan",
        owner_email=email,
        owner_phone="515-555-0177",
        owner_language=language,
    )
    company.fairfield.phone = "515-555-0100"
    company.fairfield.save()
    job.refresh_from_db()
    return job


def comes(company: Company, job: Job, on: date = TUESDAY, minutes: int = 120) -> WeekVersion:
    """North goes there by a posted week, in place of what was posted."""
    WeekVersion.objects.filter(state="posted").update(state="replaced")
    version = version_make(company, WeekVersion.State.POSTED)
    visit_make(version, company.north, on, job, {"flat_blow": minutes})
    return version


def comes_after(company: Company, job: Job, before: Job, minutes: int) -> WeekVersion:
    """The same, after so many minutes at another house."""
    WeekVersion.objects.filter(state="posted").update(state="replaced")
    version = version_make(company, WeekVersion.State.POSTED)
    visit_make(version, company.north, TUESDAY, before, {"flat_blow": minutes})
    visit_make(version, company.north, TUESDAY, job, {"flat_blow": 120})
    return version


def hours(first: str, last: str, on: date = TUESDAY) -> Window:
    """A window of a day by the clock on the wall."""
    ends = (datetime.strptime(text, "%H:%M").time() for text in (first, last))  # noqa: DTZ007
    return Window(*(datetime.combine(on, end, tzinfo=CHICAGO) for end in ends))


def told() -> list[str]:
    """Every telling as `owner 07:00-09:30`, the first first."""
    return [
        f"{row.to} {_figure(row.from_at)}-{_figure(row.to_at)}"
        for row in WindowTold.objects.order_by("pk")
    ]


def _figure(moment: datetime | None) -> str:
    return f"{moment.astimezone(CHICAGO):%H:%M}" if moment else ""


def subjects() -> list[str]:
    """The subjects of all mails, the first first."""
    return list(OutboxMail.objects.order_by("pk").values_list("subject", flat=True))
