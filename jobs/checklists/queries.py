"""Reads about checklists' links, codes and photographs."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Prefetch, QuerySet

from contractor.access import Scope
from contractor.link_secret import secret_hash
from contractor.models import Branch
from jobs.checklists.link_code import (
    TRIES_AN_HOUR,
    TRIES_OF_A_PLACE,
    code_hash,
    code_read,
    place_hash,
)
from jobs.conditions.words import US
from jobs.models import (
    ChecklistCode,
    ChecklistLink,
    CodeTry,
    Condition,
    ConditionPhoto,
    Job,
    Site,
    Superintendent,
)

TRIES_KEPT = timedelta(hours=1)


def links_alive(scope: Scope, now: datetime) -> QuerySet[ChecklistLink]:
    """Return open links that the scope's branches gave out, without those that a code opened."""
    links = ChecklistLink.objects.alive(now).filter(entry__isnull=True)
    links = links.select_related("superintendent__builder", "branch")
    return links if scope.all_branches else links.filter(branch_id__in=scope.branch_ids)


def superintendents_served(scope: Scope) -> list[tuple[Superintendent, Branch]]:
    """Tell who has an open house of which branch, by name; one statement."""
    sites = Site.objects.visible_to(scope).filter(
        superintendent__isnull=False, jobs__state=Job.State.OPEN
    )
    sites = sites.select_related("superintendent__builder", "branch").distinct()
    pairs = {(site.superintendent_id, site.branch_id): site for site in sites}
    found = [(site.superintendent, site.branch) for site in pairs.values() if site.superintendent]
    return sorted(found, key=lambda pair: (pair[0].name, pair[0].pk, pair[1].name))


def code_open(typed: str, now: datetime) -> ChecklistCode | None:
    """Return the code that was typed. A wrong, an expired and a revoked one take the same path."""
    codes = ChecklistCode.objects.filter(
        code_hash=code_hash(code_read(typed)),
        expires_at__gt=now,
        link__revoked_at__isnull=True,
        link__expires_at__gt=now,
    )
    return codes.select_related("link__superintendent", "link__branch").first()


def tries_spent(address: str, now: datetime) -> bool:
    """Tell whether this place, or everybody together, has used up the tries of the last hour."""
    lately = CodeTry.objects.filter(at__gt=now - TRIES_KEPT)
    here = lately.filter(place_hash=place_hash(address))
    return here.count() >= TRIES_OF_A_PLACE or lately.count() >= TRIES_AN_HOUR


def photos_of(conditions: Iterable[Condition]) -> dict[int, list[ConditionPhoto]]:
    """Return each condition's photographs, the oldest first, without their bytes; one statement."""
    found: dict[int, list[ConditionPhoto]] = defaultdict(list)
    photos = ConditionPhoto.objects.filter(condition__in=[c.pk for c in conditions])
    for photo in photos.select_related("photo").defer("photo__content"):
        found[photo.condition_id].append(photo)
    return dict(found)


@dataclass(frozen=True)
class House:
    """A house of a superintendent, with what the builder's side owes for it."""

    job: Job
    conditions: tuple[Condition, ...]


def superintendents_of(scope: Scope) -> QuerySet[Superintendent]:
    """Return the superintendents of the scope's open jobs."""
    sites = Job.objects.open().visible_to(scope).values("site")
    return (
        Superintendent.objects.filter(sites__in=sites)
        .select_related("builder")
        .order_by("builder__name", "name")
        .distinct()
    )


def links_of(scope: Scope) -> QuerySet[ChecklistLink]:
    """Return the checklist links that the scope's branches gave out."""
    links = ChecklistLink.objects.select_related("superintendent__builder", "branch")
    return links if scope.all_branches else links.filter(branch_id__in=scope.branch_ids)


def checklist_link_open(secret: str, now: datetime) -> ChecklistLink | None:
    """Return the link that a secret opens. A wrong, an expired and a closed one take one path."""
    alive = ChecklistLink.objects.alive(now).select_related("superintendent__builder", "branch")
    return alive.filter(secret_hash=secret_hash(secret)).first()


def _houses(link: ChecklistLink) -> QuerySet[Job]:
    return Job.objects.open().filter(
        site__superintendent=link.superintendent, site__branch=link.branch
    )


def checklist_houses(link: ChecklistLink) -> list[House]:
    """List open houses of the link's superintendent with what is not ours to do; two statements."""
    owed = Condition.objects.filter(needed=True).exclude(owed_by=US)
    jobs = _houses(link).select_related("site").prefetch_related(Prefetch("conditions", owed))
    return [House(job, tuple(job.conditions.all())) for job in jobs]


def checklist_condition(link: ChecklistLink, condition_id: int) -> Condition | None:
    """Return a condition of the link's own houses; None for any other."""
    owed = Condition.objects.filter(needed=True).exclude(owed_by=US)
    conditions = owed.select_related("job__site__branch")
    return conditions.filter(pk=condition_id, job__in=_houses(link)).first()
