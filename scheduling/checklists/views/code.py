"""The page where the short code of a checklist is typed; knows no house."""

from ipaddress import ip_address

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone, translation
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from jobs.checklists.queries import TRIES_KEPT
from jobs.checklists.services.code import code_enter, code_try
from scheduling.checklists.views.checklist import PRIVATE

WRONG, TOO_MANY = 404, 429
LONGEST = 40


# No cookie and no token, as on the checklist: who can forge this form knows the code.
@csrf_exempt
@require_http_methods(["GET", "HEAD", "POST"])
def checklist_code(request: HttpRequest) -> HttpResponse:
    """Ask for a code; a right one leads on to a link of its own, only when it is sent."""
    with translation.override(_language(request)):
        response = _typed(request) if request.method == "POST" else _asked(request)
        response.headers["Content-Language"] = translation.get_language() or "en"
    for name, value in PRIVATE.items():
        response.headers[name] = value
    return response


def _typed(request: HttpRequest) -> HttpResponse:
    now = timezone.now()
    tried = code_try(address=client_address(request), now=now)
    if tried is None:
        response = _asked(request, TOO_MANY)
        response.headers["Retry-After"] = str(int(TRIES_KEPT.total_seconds()))
        return response
    secret = code_enter(typed=request.POST.get("code", "")[:LONGEST], tried=tried, now=now)
    return redirect("checklist", secret=secret) if secret else _asked(request, WRONG)


def _asked(request: HttpRequest, status: int = 200) -> HttpResponse:
    now = translation.get_language()
    context = {
        "is_wrong": status == WRONG,
        "is_too_often": status == TOO_MANY,
        "language": now,
        "languages": [(code, name) for code, name in settings.LANGUAGES if code != now],
    }
    return render(request, "scheduling/checklists/checklist_code.html", context, status=status)


def _language(request: HttpRequest) -> str:
    """Return the language asked for in the address, else the browser's."""
    asked = request.GET.get("lang", "")
    known = dict(settings.LANGUAGES)
    return asked if asked in known else translation.get_language_from_request(request)


def client_address(request: HttpRequest) -> str:
    """Return the network address that a request comes from.

    Behind a proxy it is what that proxy wrote last in `X-Forwarded-For`; what stands before it
    there can be anybody's invention.
    """
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "")
    if getattr(settings, "SECURE_PROXY_SSL_HEADER", None) and forwarded:
        last = forwarded.rpartition(",")[2].strip()
        try:
            return str(ip_address(last))
        except ValueError:
            pass
    return str(request.META.get("REMOTE_ADDR", ""))
