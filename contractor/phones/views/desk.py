"""The office's page of crew leads' phones, a link made there, and a lead's page of his own."""

import re
from typing import cast
from urllib.parse import quote

import segno
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contractor.access import Action, require, scope_of
from contractor.events import Actor
from contractor.frame.services import zone_of
from contractor.models import Event, PhoneLink, User
from contractor.phones.queries import (
    leads_of,
    leads_with_phones,
    phone_links_of,
    phones_ended,
    phones_of,
    phones_own,
)
from contractor.phones.services import (
    PhoneRefused,
    phone_link_make,
    phone_link_revoke,
    phone_revoke,
)
from contractor.phones.session import phone_of
from contractor.public import public_address

LARGEST = 2**63 - 1


@require(Action.MANAGE_PHONES)
@require_safe
def phones_page(request: HttpRequest) -> HttpResponse:
    """Show the leads of the person's yards with their phones and links."""
    scope, now = scope_of(request.user), timezone.now()
    context = {
        "leads": leads_with_phones(scope, now),
        "ended": phones_ended(scope, now),
        "several_branches": scope.all_branches,
    }
    with timezone.override(zone_of(_person(request))):
        return render(request, "contractor/phones/phones.html", context)


@require(Action.MANAGE_PHONES)
@require_POST
@never_cache
def phone_link_new(request: HttpRequest) -> HttpResponse:
    """Make a link for one lead and show it this once."""
    leads = leads_of(scope_of(request.user)).select_related("branch", "crew_member")
    lead = get_object_or_404(leads, pk=_number(request.POST.get("person", "")))
    actor, now = Actor.of_user(_person(request)), timezone.now()
    try:
        link, secret = phone_link_make(person=lead, actor=actor, now=now)
    except PhoneRefused as refused:
        messages.error(request, str(refused))
        return redirect("phones")
    address = public_address(request) + reverse("phone-link", args=[secret])
    with timezone.override(zone_of(lead)):
        context = {"lead": lead, "link": link, "address": address, **ways_to_send(link, address)}
        context["qr"] = segno.make(address, error="m").svg_data_uri(scale=6, border=4)
        return render(request, "contractor/phones/phone_link_made.html", context)


@require(Action.MANAGE_PHONES)
@require_POST
def phone_link_end(request: HttpRequest, link_id: int) -> HttpResponse:
    """Withdraw a link that was not used."""
    link = get_object_or_404(phone_links_of(scope_of(request.user)), pk=link_id)
    actor = Actor.of_user(_person(request))
    if phone_link_revoke(link_id=link.pk, actor=actor, now=timezone.now()):
        messages.success(request, _("The link is withdrawn and opens nothing any more."))
    else:
        messages.error(request, _("That link was used or withdrawn before."))
    return redirect("phones")


@require(Action.MANAGE_PHONES)
@require_POST
def phone_end(request: HttpRequest, phone_id: int) -> HttpResponse:
    """Sign a phone out; it learns so at its next request."""
    phone = get_object_or_404(phones_of(scope_of(request.user)), pk=phone_id)
    actor = Actor.of_user(_person(request))
    if phone_revoke(phone_id=phone.pk, actor=actor, now=timezone.now()):
        messages.success(request, _("The phone is signed out. What it has not sent stays on it."))
    else:
        messages.error(request, _("That phone was signed out before."))
    return redirect("phones")


@require(Action.SEE_CREW_DAY)
@require_safe
def phones_mine(request: HttpRequest) -> HttpResponse:
    """Show a person the phones that are signed in as that person."""
    person = _person(request)
    context = {"phones": phones_own(person, timezone.now()), "here": phone_of(request)}
    with timezone.override(zone_of(person)):
        return render(request, "contractor/phones/phones_mine.html", context)


@require(Action.SEE_CREW_DAY)
@require_POST
def phone_mine_end(request: HttpRequest, phone_id: int) -> HttpResponse:
    """Let a person sign out one of the own phones, not the one at hand: that signs out itself."""
    person = _person(request)
    phone = get_object_or_404(person.phones.all(), pk=phone_id)
    actor = Actor.of_user(person, Event.Source.PHONE)
    if phone_revoke(phone_id=phone.pk, actor=actor, now=timezone.now()):
        messages.success(request, _("The phone is signed out. What it has not sent stays on it."))
    return redirect("phones-mine")


def ways_to_send(link: PhoneLink, address: str) -> dict[str, str]:
    """Return addresses by which one's phone or mail program sends a link, in the lead's words."""
    lead = link.person
    with translation.override(lead.language):
        subject = _("Your phone for the crew's day")
        text = _("Sign your phone in as %(name)s, until %(until)s: %(address)s") % {
            "name": lead.get_full_name() or lead.username,
            "until": date_format(timezone.localtime(link.expires_at), "D H:i"),
            "address": address,
        }
    member = getattr(lead, "crew_member", None)
    number = re.sub(r"[^0-9+]", "", member.phone if member else "")
    mailto = f"mailto:{quote(lead.email)}?subject={quote(subject)}&body={quote(text)}"
    return {"sms": f"sms:{number}?&body={quote(text)}", "mailto": mailto}


def _number(text: str) -> int | None:
    """Return the number that a form names, none for what cannot be one."""
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 20 else 0
    return number if 0 < number <= LARGEST else None


def _person(request: HttpRequest) -> User:
    return cast(User, request.user)
