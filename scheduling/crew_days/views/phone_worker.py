"""The worker of the crew's pages, its page without signal and the manifest; knows no person."""

import hashlib
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import get_template
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import etag, require_safe

SOURCE = "scheduling/crew_days/worker.js"
NO_SIGNAL = "scheduling/crew_days/no_signal.html"
COMMENTS = re.DOTALL | re.MULTILINE
ASSETS = (
    "contractor/site.css",
    "contractor/mark.svg",
    "scheduling/crew_days/phone.css",
    "scheduling/crew_days/crew_days.css",
    "scheduling/crew_days/queue.js",
    "scheduling/crew_days/stand.js",
    "scheduling/crew_days/shown.js",
    "scheduling/crew_days/tap.js",
    "scheduling/crew_days/phone.js",
)


def worker_text() -> str:
    """Return the worker after the constants that it reads, without our comments."""
    return _worker_text() if settings.DEBUG else _worker_text_once()


@require_safe
@etag(lambda _request: f'"{hashlib.sha256(worker_text().encode()).hexdigest()[:32]}"')
def worker(_request: HttpRequest) -> HttpResponse:
    """Show the worker: another one as soon as any of its files changes, asked for at each visit."""
    response = HttpResponse(worker_text(), content_type="text/javascript; charset=utf-8")
    response.headers["Cache-Control"] = "no-cache"
    return response


@require_safe
def no_signal(request: HttpRequest) -> HttpResponse:
    """Show what stands in the place of a page that is not kept, in both languages."""
    languages = [code for code, _name in settings.LANGUAGES]
    return render(request, NO_SIGNAL, {"languages": languages})


@require_safe
def manifest(request: HttpRequest) -> JsonResponse:
    """Let a phone put the crew's days on its home screen, where it keeps them longer."""
    mark = {"src": static("contractor/mark.svg"), "sizes": "any", "type": "image/svg+xml"}
    return JsonResponse(
        {
            "name": f"Baywright: {_('Crew days')}",
            "short_name": "Baywright",
            "start_url": reverse("crew-days"),
            "scope": reverse("crew-days"),
            "display": "standalone",
            "background_color": "#FAF8F3",
            "theme_color": "#0B5F66",
            "icons": [mark],
        },
        content_type="application/manifest+json",
    )


def _worker_text() -> str:
    known = {
        "version": _version(),
        "scope": reverse("crew-days"),
        "noSignal": reverse("crew-days-no-signal"),
        "static": settings.STATIC_URL,
        "assets": [static(name) for name in ASSETS],
    }
    source = re.sub(r"^\s*(/\*.*?\*/|//[^\n]*)\n", "", _file(SOURCE).read_text(), flags=COMMENTS)
    return f"const KNOWN = {json.dumps(known)};\n{source}"


_worker_text_once = cache(_worker_text)


def _version() -> str:
    """Return a hash of all that the worker keeps besides pages."""
    digest = hashlib.sha256()
    for name in ASSETS:
        digest.update(_file(name).read_bytes())
    template: Any = get_template(NO_SIGNAL)
    digest.update(Path(template.origin.name).read_bytes())
    return digest.hexdigest()[:16]


def _file(name: str) -> Path:
    found = finders.find(name)
    if not isinstance(found, str):
        raise FileNotFoundError(name)
    return Path(found)
