"""Where people outside reach the site; knows no page."""

from django.conf import settings
from django.http import HttpRequest


def public_address(request: HttpRequest) -> str:
    """Return where people outside reach the site: as configured, in development as reached."""
    return request.build_absolute_uri("/").rstrip("/") if settings.DEBUG else settings.SITE_URL
