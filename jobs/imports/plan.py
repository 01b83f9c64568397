"""What an import would do, job by job; knows neither how it is found nor how it is done."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db import models

from contractor.models import Branch
from jobs.models import Job, Site, Space
from jobs.sheets import SheetError

NEW, CHANGED, UNCHANGED = "new", "changed", "unchanged"


def as_words(value: object) -> str:
    """Return a value of a field as a person reads it in a preview."""
    if value is None or value == "":
        return "–"
    if isinstance(value, Decimal):
        return format(value.normalize(), "f")
    if isinstance(value, date):
        return value.isoformat()
    return str(value)


@dataclass(frozen=True)
class ImportChange:
    """A field that would change."""

    field: str
    before: str
    after: str

    def __str__(self) -> str:
        return f"{self.field} {self.before} -> {self.after}"


def changes_of(
    thing: models.Model | None, values: Mapping[str, object]
) -> tuple[ImportChange, ...]:
    """Return the fields of a row that `values` would change; none of a row not there yet."""
    if thing is None:
        return ()
    found = ((name, getattr(thing, name), value) for name, value in values.items())
    return tuple(
        ImportChange(name, as_words(before), as_words(value))
        for name, before, value in found
        if before != value
    )


@dataclass(frozen=True)
class SpacePlan:
    """A row of the sheet: the space it makes or changes, and the values that it gives."""

    row: int
    name: str
    space: Space | None
    values: Mapping[str, object]
    changes: tuple[ImportChange, ...]

    @property
    def state(self) -> str:
        """New, changed or unchanged."""
        if self.space is None:
            return NEW
        return CHANGED if self.changes else UNCHANGED


@dataclass(frozen=True)
class SitePlan:
    """A site with its superintendent, as the sheet's rows say together."""

    branch: Branch
    builder: str
    name: str
    site: Site | None
    superintendent: str
    contact: Mapping[str, str]
    values: Mapping[str, object]
    changes: tuple[ImportChange, ...]

    @property
    def is_as_it_was(self) -> bool:
        """Whether nothing of it is to be written."""
        return self.site is not None and not self.changes


@dataclass(frozen=True)
class JobPlan:
    """A job with its rows. Changes of its site are told with the site's first job."""

    site: SitePlan
    unit: str
    job: Job | None
    values: Mapping[str, object]
    changes: tuple[ImportChange, ...]
    told_of_site: tuple[ImportChange, ...]
    spaces: tuple[SpacePlan, ...]

    @property
    def title(self) -> str:
        """Site and unit, as the job is called everywhere."""
        return f"{self.site.name}, {self.unit}" if self.unit else self.site.name

    @property
    def state(self) -> str:
        """New, changed or unchanged."""
        if self.job is None:
            return NEW
        touched = self.changes or self.told_of_site
        return CHANGED if touched or self.spaces_to_write else UNCHANGED

    @property
    def spaces_to_write(self) -> tuple[SpacePlan, ...]:
        """The rows that make or change a space."""
        return tuple(space for space in self.spaces if space.state != UNCHANGED)


@dataclass(frozen=True)
class ImportPlan:
    """Everything that a sheet would do; with any error it does nothing."""

    jobs: tuple[JobPlan, ...] = ()
    errors: tuple[SheetError, ...] = ()
    sites: tuple[SitePlan, ...] = field(default=(), repr=False)

    def of(self, state: str) -> list[JobPlan]:
        """Return the jobs in one state."""
        return [job for job in self.jobs if job.state == state]

    @property
    def new(self) -> list[JobPlan]:
        """Jobs that are not there yet."""
        return self.of(NEW)

    @property
    def changed(self) -> list[JobPlan]:
        """Jobs of which something changes."""
        return self.of(CHANGED)

    @property
    def unchanged(self) -> list[JobPlan]:
        """Jobs that stand as the sheet says."""
        return self.of(UNCHANGED)
