"""What a list's query string asks for, and what there is to choose from."""

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from django.db.models import QuerySet

from contractor.access import Scope
from jobs.models import Builder, Job, Site

JOB_STATES = tuple(Job.State.values)
READY_LINES = ("solid", "dashed", "hatched")


@dataclass(frozen=True)
class Choices:
    """The builders and sites of the jobs that the person sees."""

    builders: "QuerySet[Builder]"
    sites: "QuerySet[Site]"


@dataclass(frozen=True)
class Filters:
    """The filters of a list; what makes no sense is left out, so an old link still opens."""

    text: str = ""
    builder: int | None = None
    site: int | None = None
    ready: str = ""
    job_state: str = Job.State.OPEN
    owed_by: str = ""

    @classmethod
    def read(cls, query: Mapping[str, str]) -> "Filters":
        """Return the filters that a query string names."""
        return cls(
            text=query.get("q", "").replace("\x00", "").strip()[:80],
            builder=_number(query.get("builder", "")),
            site=_number(query.get("site", "")),
            ready=_one_of(query.get("ready", ""), READY_LINES),
            job_state=_one_of(query.get("state", ""), JOB_STATES) or Job.State.OPEN,
            owed_by=query.get("owed_by", "")[:20],
        )

    def of_place(self, jobs: "QuerySet[Job]") -> "QuerySet[Job]":
        """Keep the jobs of the builder and the site that are asked for."""
        if self.builder:
            jobs = jobs.filter(site__builder_id=self.builder)
        return jobs.filter(site_id=self.site) if self.site else jobs

    def choices(self, scope: Scope) -> Choices:
        """Return what there is to choose from: builders and sites, those that the person sees."""
        sites = Site.objects.visible_to(scope).select_related("builder")
        return Choices(Builder.objects.filter(sites__in=sites).distinct(), sites)

    @property
    def query(self) -> str:
        """The filters as a query string, for links that keep them."""
        given = {
            "q": self.text,
            "builder": self.builder,
            "site": self.site,
            "ready": self.ready,
            "state": "" if self.job_state == Job.State.OPEN else self.job_state,
            "owed_by": self.owed_by,
        }
        return urlencode({name: value for name, value in given.items() if value})


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None


def _one_of(text: str, allowed: tuple[str, ...]) -> str:
    return text if text in allowed else ""
