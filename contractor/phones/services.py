"""Services about phones: a link for one, signing in by it, what it reports, its end."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext as _

from contractor.events import Actor, event_record
from contractor.link_secret import secret_hash, secret_make
from contractor.models import Event, Phone, PhoneLink, User
from contractor.models.phone import lead_check
from contractor.phones.queries import browser_hash, phone_again

LINK_HOURS = 24
SEEN_EVERY = timedelta(minutes=1)
MOST_UNSENT = 2**31 - 1


class PhoneRefused(Exception):
    """A link that cannot be made; its text says why."""


@transaction.atomic
def phone_link_make(*, person: User, actor: Actor, now: datetime) -> tuple[PhoneLink, str]:
    """Make a link that signs one phone in as the person, and withdraw those made before.

    The secret is returned this once and can never be read again. Raises PhoneRefused where the
    person is no crew lead at work.
    """
    if not User.objects.select_for_update().filter(lead_check(), pk=person.pk).exists():
        raise PhoneRefused(_("Phones are signed in by a link for crew leads at work only."))
    for older in PhoneLink.objects.open(now).filter(person=person):
        phone_link_revoke(link_id=older.pk, actor=actor, now=now)
    secret = secret_make()
    link = PhoneLink.objects.create(
        person=person,
        secret_hash=secret_hash(secret),
        made_by=actor.user,
        made_at=now,
        expires_at=now + timedelta(hours=LINK_HOURS),
    )
    what = {"person": person.pk, "expires_at": link.expires_at.isoformat()}
    event_record(actor=actor, now=now, verb="created", thing=link, branch=person.branch, what=what)
    return link, secret


@transaction.atomic
def phone_link_revoke(*, link_id: int, actor: Actor, now: datetime) -> bool:
    """Withdraw a link; False where it was used or withdrawn before, which changes nothing."""
    links = PhoneLink.objects.filter(pk=link_id, used_at=None, revoked_at=None)
    if not links.update(revoked_at=now, revoked_by=actor.user):
        return False
    link = PhoneLink.objects.select_related("person__branch").get(pk=link_id)
    event_record(actor=actor, now=now, verb="revoked", thing=link, branch=link.person.branch)
    return True


@transaction.atomic
def phone_sign_in(*, secret: str, browser: str, name: str, now: datetime) -> Phone | None:
    """Use up a link and return the phone that it made; None for a link that opens nothing.

    browser: a random word that this browser alone was given. The browser that used the link gets
    the same phone again until the link would have ended, since a second tap or a lost answer must
    not leave a crew without a way in. name: device and browser.
    """
    known, place = secret_hash(secret), browser_hash(browser)
    if (
        not PhoneLink.objects.open(now)
        .filter(secret_hash=known)
        .update(used_at=now, used_from=place)
    ):
        return phone_again(known, place, now)
    link = PhoneLink.objects.select_related("person__branch").get(secret_hash=known)
    phone = Phone.objects.create(
        person=link.person, link=link, name=name[:80], made_at=now, last_seen_at=now
    )
    actor = Actor.of_user(link.person, Event.Source.LINK)
    what = {"person": link.person_id, "link": link.pk, "name": phone.name}
    event_record(
        actor=actor, now=now, verb="signed in", thing=phone, branch=link.person.branch, what=what
    )
    return phone


@transaction.atomic
def phone_revoke(*, phone_id: int, actor: Actor, now: datetime) -> bool:
    """End a phone: its session opens nothing any more. False where it had ended before."""
    if not Phone.objects.filter(pk=phone_id, revoked_at=None).update(
        revoked_at=now, revoked_by=actor.user
    ):
        return False
    phone = Phone.objects.select_related("person__branch").get(pk=phone_id)
    what = {
        "person": phone.person_id,
        "unsent": phone.unsent,
        "unsent_photos": phone.unsent_photos,
    }
    event_record(
        actor=actor, now=now, verb="revoked", thing=phone, branch=phone.person.branch, what=what
    )
    return True


def phone_report(*, phone: Phone, unsent: int, unsent_photos: int, now: datetime) -> bool:
    """Keep how much a phone says it has not sent; whether anything was written.

    Written at most once a minute as long as the figures stay. It is a reading and no change, so
    there is no event. Raises ValueError for figures that cannot be.
    """
    if not (0 <= unsent <= MOST_UNSENT and 0 <= unsent_photos <= MOST_UNSENT):
        raise ValueError(f"Unsent {unsent} and {unsent_photos}: expected 0 to {MOST_UNSENT}.")
    same = (phone.unsent, phone.unsent_photos) == (unsent, unsent_photos)
    if same and phone.reported_at and now - phone.reported_at < SEEN_EVERY:
        return False
    said = {
        "unsent": unsent,
        "unsent_photos": unsent_photos,
        "reported_at": now,
        "last_seen_at": now,
    }
    return _keep(phone, said)


def phone_seen(*, phone: Phone, now: datetime) -> bool:
    """Keep that a phone was used just now, at most once a minute; whether it was written."""
    if now - phone.last_seen_at < SEEN_EVERY:
        return False
    return _keep(phone, {"last_seen_at": now})


def _keep(phone: Phone, values: dict[str, object]) -> bool:
    """Write to a phone that nobody has ended meanwhile, and to the object at hand."""
    if not Phone.objects.filter(pk=phone.pk, revoked_at=None).update(**values):
        return False
    for name, value in values.items():
        setattr(phone, name, value)
    return True
