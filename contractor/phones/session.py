"""The session of a phone: it names its phone, and opens nothing once that phone has ended."""

import logging
from datetime import datetime

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.auth.models import AnonymousUser
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import rotate_token
from django.utils import timezone
from rest_framework.request import Request

from contractor.events import Actor
from contractor.frame.middleware import Handler
from contractor.models import Event, Phone
from contractor.phones.services import phone_revoke, phone_seen

PHONE, KEPT_ON = "phone", "phone_kept_on"
SECONDS_A_DAY = 24 * 60 * 60
_log = logging.getLogger(__name__)


def phone_of(request: HttpRequest | Request) -> Phone | None:
    """Return the phone that a request comes from; None for who signed in by password, or not."""
    return getattr(request, "phone", None)


def session_open(request: HttpRequest, phone: Phone, now: datetime) -> None:
    """Begin the session of a phone; whoever was signed in here before is signed out.

    It holds no password's hash, as Django's own does: a password that is changed at the desk ends
    no crew's day. The office ends a phone, or the person's account, by name.
    """
    request.session.flush()
    request.session[PHONE] = phone.pk
    _keep_on(request, now)
    rotate_token(request)


class PhoneMiddleware:
    """Makes the phone and its person known as `request.phone` and `request.user`.

    A phone that has ended, or whose person may not have one any more, is signed out at its next
    request. One query reads phone, person, yard and crew at once, in place of those of its own
    that each would cost a request.
    """

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        now = timezone.now()
        phone = _phone_of_session(request, now)
        request.phone = phone  # type: ignore[attr-defined]
        response = self.get_response(request)
        if phone is not None:
            _after(request, phone, now)
        return response


def _phone_of_session(request: HttpRequest, now: datetime) -> Phone | None:
    number = request.session.get(PHONE)
    if number is None or SESSION_KEY in request.session:
        return None
    phones = Phone.objects.live(now).select_related("person__branch", "person__crew_member")
    phone = phones.filter(pk=number).first()
    if phone is None:
        request.session.flush()
        request.user = AnonymousUser()
        return None
    request.user = phone.person
    return phone


def _after(request: HttpRequest, phone: Phone, now: datetime) -> None:
    """Mark a phone that left as ended; of one that stays, keep that it was there."""
    if SESSION_KEY in request.session:
        _forget(request)
    if request.session.get(PHONE) != phone.pk:
        actor = Actor.of_user(phone.person, Event.Source.PHONE)
        phone_revoke(phone_id=phone.pk, actor=actor, now=now)
        return
    if request.session.get(KEPT_ON) != now.date().isoformat():
        _keep_on(request, now)
    try:
        phone_seen(phone=phone, now=now)
    except OperationalError:  # a busy database spoils no page for the sake of a time of day
        _log.warning("phone %s: when it was seen could not be kept", phone.pk)


def _forget(request: HttpRequest) -> None:
    """Leave nothing of a phone to whoever signed in by password in its browser, nor its days."""
    for name in (PHONE, KEPT_ON):
        request.session.pop(name, None)
    request.session.set_expiry(None)


def _keep_on(request: HttpRequest, now: datetime) -> None:
    """Let the session end so many days after its last use; to write it once a day is enough."""
    request.session[KEPT_ON] = now.date().isoformat()
    request.session.set_expiry(settings.PHONE_DAYS * SECONDS_A_DAY)
