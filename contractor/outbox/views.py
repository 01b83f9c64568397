"""The office's page of what was sent and what died, and everybody's page to stop mail."""

from typing import cast
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count, Max, Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contractor.access import Action, require, scope_of
from contractor.events import Actor
from contractor.frame.services import zone_of
from contractor.logs import link_redacted
from contractor.models import Event, MailAddress, OutboxMail, User
from contractor.outbox.queries import addresses_of, mail_enabled, mails_of, may_read_text
from contractor.outbox.services.send import mail_retry
from contractor.outbox.services.stops import mail_resume, mail_stop, token_address

MAILS_ON_A_PAGE = 50
# The address is the right itself: it goes to no other site, no search engine and no store.
PRIVATE = {
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow",
    "Cache-Control": "no-store",
}
STOP, RESUME = "stop", "resume"


@require(Action.SEND_CHECKLIST)
@require_safe
def mail_page(request: HttpRequest) -> HttpResponse:
    """Show the mails of the person's branches, by state, and who stopped mail."""
    scope = scope_of(request.user)
    mails, state = mails_of(scope), request.GET.get("state", "")
    known = state in OutboxMail.State.values
    shown = mails.filter(state=state) if known else mails
    counts = {name: Count("pk", filter=Q(state=name)) for name in OutboxMail.State.values}
    totals = mails.order_by().aggregate(**counts, last_sent=Max("sent_at"))
    context = {
        "page": Paginator(shown.defer("text", "html"), MAILS_ON_A_PAGE).get_page(
            request.GET.get("page")
        ),
        "state": state if known else "",
        "states": [(name, label, totals[name]) for name, label in OutboxMail.State.choices],
        "last_sent": totals["last_sent"],
        "stopped": addresses_of(scope).filter(stopped_at__isnull=False),
        "enabled": mail_enabled(),
    }
    with timezone.override(_zone(request)):
        return render(request, "contractor/outbox/mail.html", context)


@require(Action.SEND_CHECKLIST)
@require_safe
def mail_show(request: HttpRequest, mail_id: int) -> HttpResponse:
    """Show one mail as it was written; its links open nothing here, their secrets are not kept."""
    scope = scope_of(request.user)
    mail = get_object_or_404(mails_of(scope), pk=mail_id)
    text = link_redacted(mail.text) if may_read_text(scope, mail) else ""
    with timezone.override(_zone(request)):
        return render(request, "contractor/outbox/mail_one.html", {"mail": mail, "text": text})


@require(Action.SEND_CHECKLIST)
@require_POST
def mail_again(request: HttpRequest, mail_id: int) -> HttpResponse:
    """Let a dead mail be tried anew."""
    mail = get_object_or_404(mails_of(scope_of(request.user)), pk=mail_id)
    if mail_retry(mail_id=mail.pk, actor=_actor(request), now=timezone.now()):
        messages.success(request, _("It will be tried again within a minute."))
    else:
        messages.error(request, _("It cannot be tried again: it is not dead, or mail is stopped."))
    return redirect("mail-one", mail.pk)


@require(Action.SEND_CHECKLIST)
@require_POST
def address_resume(request: HttpRequest, address_id: int) -> HttpResponse:
    """Let a person who asked for it have mail again."""
    address = get_object_or_404(addresses_of(scope_of(request.user)), pk=address_id)
    mail_resume(address_id=address.pk, actor=_actor(request), now=timezone.now())
    messages.success(request, _("%(email)s gets mail again.") % {"email": address.email})
    return redirect("mail")


# No cookie and no token: a mail program posts here by itself (RFC 8058), and who does not have our
# signature cannot forge the address.
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def stop_page(request: HttpRequest, token: str) -> HttpResponse:
    """Show what would be stopped; stop it, or start it again, only by a post."""
    address = token_address(token)
    if address is None:
        raise Http404
    if request.method == "POST":
        address = _choose(request, address)
    with translation.override(_language(request, address)):
        response = render(request, "contractor/outbox/mail_stop.html", {"address": address})
    for name, value in PRIVATE.items():
        response.headers[name] = value
    return response


def _choose(request: HttpRequest, address: MailAddress) -> MailAddress:
    """Do what the form or the mail program asks for; a post that says nothing else stops."""
    change = mail_resume if request.POST.get("wish") == RESUME else mail_stop
    actor = Actor(who=address.email, source=Event.Source.LINK)
    return change(address_id=address.pk, actor=actor, now=timezone.now())


def _language(request: HttpRequest, address: MailAddress) -> str:
    """Return the language asked for in the address, else that of the newest mail."""
    asked = request.GET.get("lang", "")
    if asked in dict(settings.LANGUAGES):
        return asked
    newest = address.mails.order_by("-pk").values_list("language", flat=True).first()
    return newest or translation.get_language() or "en"


def _zone(request: HttpRequest) -> ZoneInfo:
    return zone_of(cast(User, request.user))


def _actor(request: HttpRequest) -> Actor:
    return Actor.of_user(cast(User, request.user))
