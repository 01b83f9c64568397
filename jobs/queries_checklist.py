"""Reads about checklists' links, codes and photographs."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import QuerySet

from contractor.access import Scope
from jobs.link_code import TRIES_AN_HOUR, TRIES_OF_A_PLACE, code_hash, code_read, place_hash
from jobs.models import (
    ChecklistCode,
    ChecklistLink,
    CodeTry,
    Condition,
    ConditionPhoto,
    Superintendent,
)

TRIES_KEPT = timedelta(hours=1)


def links_alive(scope: Scope, now: datetime) -> QuerySet[ChecklistLink]:
    """The open links that the scope's branches gave out, without those that a code opened."""
    links = ChecklistLink.objects.alive(now).filter(entry__isnull=True)
    links = links.select_related("superintendent__builder", "branch")
    return links if scope.all_branches else links.filter(branch_id__in=scope.branch_ids)


def superintendents_with_houses(scope: Scope) -> QuerySet[Superintendent]:
    """The superintendents with an open house in the scope, by name."""
    people = Superintendent.objects.filter(sites__jobs__state="open")
    if not scope.all_branches:
        people = people.filter(sites__branch_id__in=scope.branch_ids)
    return people.select_related("builder").distinct().order_by("name", "pk")


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
