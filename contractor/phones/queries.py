"""Which leads, phones and links a person sees; changes nothing."""

from datetime import datetime, timedelta

from django.db.models import Prefetch, Q, QuerySet
from django.utils.crypto import salted_hmac

from contractor.access import Scope
from contractor.link_secret import secret_hash
from contractor.models import Phone, PhoneLink, User
from contractor.models.phone import PhoneLinkQuerySet, PhoneQuerySet, lead_check

ENDED_SHOWN = timedelta(days=30)
_SALT = "baywright browser of a phone"


def leads_of(scope: Scope) -> QuerySet[User]:
    """Return the crew leads at work of the scope's branches."""
    return User.objects.filter(lead_check(), _within(scope, ""))


def phones_of(scope: Scope) -> PhoneQuerySet:
    """Return every phone of people of the scope's branches, ended ones too."""
    return Phone.objects.filter(_within(scope, "person__")).select_related(
        "person__branch", "revoked_by"
    )


def phone_links_of(scope: Scope) -> PhoneLinkQuerySet:
    """Return every link for people of the scope's branches, used and old ones too."""
    return PhoneLink.objects.filter(_within(scope, "person__")).select_related("person__branch")


def leads_with_phones(scope: Scope, now: datetime) -> list[User]:
    """Return the leads, each with `signed_in` (its live phones) and `open_links`; three queries."""
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
    """Return the phones that were ended lately, the last ended first."""
    return phones_of(scope).filter(revoked_at__gt=now - ENDED_SHOWN).order_by("-revoked_at", "-pk")


def phones_own(person: User, now: datetime) -> QuerySet[Phone]:
    """Return the phones that are signed in as this person, the last used first."""
    return Phone.objects.live(now).filter(person=person).order_by("-last_seen_at", "-pk")


def link_opening(secret: str, browser: str, now: datetime) -> PhoneLink | None:
    """Return the link that would sign this browser in: an open one, or the one it has just used."""
    known, place = secret_hash(secret), browser_hash(browser)
    links = PhoneLink.objects.filter(secret_hash=known).select_related("person__crew_member__crew")
    link = links.open(now).first()
    if link is None and phone_again(known, place, now) is not None:
        link = links.first()
    return link


def phone_again(known: str, place: str, now: datetime) -> Phone | None:
    """Return the phone that browser `place` made of link `known` (both hashes), none too late."""
    if not place:
        return None
    phones = Phone.objects.live(now).select_related("person__branch", "link")
    return phones.filter(
        link__secret_hash=known, link__used_from=place, link__expires_at__gt=now
    ).first()


def browser_hash(browser: str) -> str:
    """Return a keyed hash of the word that a browser was given; empty where it has none."""
    if not browser:
        return ""
    plain = browser.encode("utf-8", "surrogatepass")
    return salted_hmac(_SALT, plain, algorithm="sha256").hexdigest()


def _within(scope: Scope, prefix: str) -> Q:
    if scope.all_branches:
        return Q()
    return Q(**{f"{prefix}branch_id__in": scope.branch_ids})
