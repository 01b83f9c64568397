"""The page of a link that signs a phone in: shown to whoever has it, used only by a post."""

import secrets

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone, translation
from django.utils.crypto import constant_time_compare, salted_hmac
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from contractor.link_secret import secret_hash
from contractor.models import PhoneLink
from contractor.outbox.views import PRIVATE
from contractor.phones.device import device_name
from contractor.phones.queries import link_opening
from contractor.phones.services import phone_sign_in
from contractor.phones.session import phone_of, session_open

GONE, ONCE_MORE = 404, 403
COOKIE, COOKIE_PATH = "phone_tap", "/phone/"
COOKIE_SECONDS = 24 * 60 * 60
_SALT = "baywright form of a phone link"


# Not by Django's token: under `no-referrer` a browser names no origin, which Django refuses. The
# form carries a seal of a word that only this browser has been given, so no other site can send it.
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def phone_link(request: HttpRequest, secret: str) -> HttpResponse:
    """Show whose phone this would be; sign it in only when the button is pressed."""
    response = _answer(request, secret)
    for name, value in PRIVATE.items():
        response.headers[name] = value
    return response


def _answer(request: HttpRequest, secret: str) -> HttpResponse:
    phone = phone_of(request)
    if phone and phone.link and phone.link.secret_hash == secret_hash(secret):
        return redirect("home")  # the link of this very phone, kept among somebody's messages
    link = link_opening(secret, _word(request), timezone.now())
    if link is None:
        return render(request, "contractor/phones/phone_link_gone.html", status=GONE)
    if request.method != "POST":
        return _ask(request, link, secret)
    if not constant_time_compare(request.POST.get("seal", ""), _seal(_word(request), secret)):
        return _ask(request, link, secret, ONCE_MORE)
    return _sign_in(request, secret)


def _sign_in(request: HttpRequest, secret: str) -> HttpResponse:
    now = timezone.now()
    name = device_name(request.headers.get("User-Agent", ""))
    phone = phone_sign_in(secret=secret, browser=_word(request), name=name, now=now)
    if phone is None:
        return render(request, "contractor/phones/phone_link_gone.html", status=GONE)
    session_open(request, phone, now)
    response = redirect("home")
    response.delete_cookie(COOKIE, path=COOKIE_PATH)
    return response


def _ask(request: HttpRequest, link: PhoneLink, secret: str, status: int = 200) -> HttpResponse:
    word = _word(request) or secrets.token_urlsafe(32)
    language = _language(request, link)
    context = {
        "person": link.person,
        "other": _other(request, link),
        "own": request.user == link.person,
        "phone": phone_of(request),
        "seal": _seal(word, secret),
        "once_more": status == ONCE_MORE,
        "languages": [(code, name) for code, name in settings.LANGUAGES if code != language],
    }
    with translation.override(language):
        response = render(request, "contractor/phones/phone_link.html", context, status=status)
    response.headers["Content-Language"] = language
    response.set_cookie(
        COOKIE,
        word,
        max_age=COOKIE_SECONDS,
        path=COOKIE_PATH,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
    return response


def _other(request: HttpRequest, link: PhoneLink) -> object:
    """Return who else is signed in in this browser; nobody where it is the same person."""
    here = request.user
    return here if here.is_authenticated and here != link.person else None


def _word(request: HttpRequest) -> str:
    """Return the word that this browser was given when it was shown the page."""
    return str(request.COOKIES.get(COOKIE, ""))[:100]


def _seal(word: str, secret: str) -> str:
    plain = f"{word} {secret}".encode("utf-8", "surrogatepass")
    return salted_hmac(_SALT, plain, algorithm="sha256").hexdigest()


def _language(request: HttpRequest, link: PhoneLink) -> str:
    """Return the language asked for in the address, else the person's."""
    asked = request.GET.get("lang", "")
    return asked if asked in dict(settings.LANGUAGES) else link.person.language
