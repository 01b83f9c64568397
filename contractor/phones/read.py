"""Which leads, phones and links a person sees; changes nothing."""

from datetime import datetime, timedelta

from django.db.models import Prefetch, Q, QuerySet

from contractor.access import Scope
from contractor.models import Phone, PhoneLink, User
from contractor.models.phone import lead_check

ENDED_SHOWN = timedelta(days=30)


def leads_of(scope: Scope) -> QuerySet[User]:
    """The crew leads at work of the scope's branches."""
    return User.objects.filter(lead_check(), _within(scope, ""))


def phones_of(scope: Scope) -> QuerySet[Phone]:
    """Every phone of people of the scope's branches, ended ones too."""
    return Phone.objects.filter(_within(scope, "person__")).select_related(
        "person__branch", "revoked_by"
    )


def phone_links_of(scope: Scope) -> QuerySet[PhoneLink]:
    """Every link for people of the scope's branches, used and old ones too."""
    return PhoneLink.objects.filter(_within(scope, "person__")).select_related("person__branch")


def leads_with_phones(scope: Scope, now: datetime) -> list[User]:
    """The leads, each with `signed_in` (its live phones) and `open_links`, in three queries."""
    phones = Prefetch("phones", Phone.objects.live(now), to_attr="signed_in")
    links = Prefetch(
        "phone_links", PhoneLink.objects.open(now).select_related("made_by"), to_attr="open_links"
    )
    leads = leads_of(scope).select_related("branch", "crew_member__crew")
    return list(
        leads.prefetch_related(phones, links).order_by(
            "branch__name", "first_name", "last_name", "username"
        )
    )


def phones_ended(scope: Scope, now: datetime) -> QuerySet[Phone]:
    """The phones that were ended lately, the last ended first."""
    return phones_of(scope).filter(revoked_at__gt=now - ENDED_SHOWN).order_by("-revoked_at", "-pk")


def phones_own(person: User, now: datetime) -> QuerySet[Phone]:
    """The phones that are signed in as this person, the last used first."""
    return Phone.objects.live(now).filter(person=person).order_by("-last_seen_at", "-pk")


def _within(scope: Scope, prefix: str) -> Q:
    if scope.all_branches:
        return Q()
    return Q(**{f"{prefix}branch_id__in": scope.branch_ids})
