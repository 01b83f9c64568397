"""Reads about checklists' links, codes and photographs."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import QuerySet

from contractor.access import Scope
from contractor.models import Branch
from jobs.link_code import TRIES_AN_HOUR, TRIES_OF_A_PLACE, code_hash, code_read, place_hash
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
    """The open links that the scope's branches gave out, without those that a code opened."""
    links = ChecklistLink.objects.alive(now).filter(entry__isnull=True)
    links = links.select_related("superintendent__builder", "branch")
    return links if scope.all_branches else links.filter(branch_id__in=scope.branch_ids)


def superintendents_served(scope: Scope) -> list[tuple[Superintendent, Branch]]:
    """Who has an open house of which branch, by name; one statement."""
    sites = Site.objects.visible_to(scope).filter(
        superintendent__isnull=False, jobs__state=Job.State.OPEN
    )
    sites = sites.select_related("superintendent__builder", "branch").distinct()
    pairs = {(site.superintendent_id, site.branch_id): site for site in sites}
    found = [(site.superintendent, site.branch) for site in pairs.values() if site.superintendent]
    return sorted(found, key=lambda pair: (pair[0].name, pair[0].pk, pair[1].name))


def code_open(typed: str, now: datetime) -> ChecklistCode | None:
    """The code that was typed. A wrong, an expired and a revoked one take the same path."""
    codes = ChecklistCode.objects.filter(
        code_hash=code_hash(code_read(typed)),
        expires_at__gt=now,
        link__revoked_at__isnull=True,
        link__expires_at__gt=now,
    )
    return codes.select_related("link__superintendent", "link__branch").first()


def tries_spent(address: str, now: datetime) -> bool:
    """Whether this place, or everybody together, has used up the tries of the last hour."""
    lately = CodeTry.objects.filter(at__gt=now - TRIES_KEPT)
    here = lately.filter(place_hash=place_hash(address))
    return here.count() >= TRIES_OF_A_PLACE or lately.count() >= TRIES_AN_HOUR


def photos_of(conditions: Iterable[Condition]) -> dict[int, list[ConditionPhoto]]:
    """The photographs of each condition, the oldest first, without their bytes; one statement."""
    found: dict[int, list[ConditionPhoto]] = defaultdict(list)
    photos = ConditionPhoto.objects.filter(condition__in=[c.pk for c in conditions])
    for photo in photos.select_related("photo").defer("photo__content"):
        found[photo.condition_id].append(photo)
    return dict(found)
