"""Headers every answer carries and the language a signed-in person chose; knows no page."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import translation

Handler = Callable[[HttpRequest], HttpResponse]


class SecurityHeadersMiddleware:
    """Adds the content security policy of `SECURE_CSP` and a permissions policy."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response
        self.policy = "; ".join(f"{name} {value}" for name, value in settings.SECURE_CSP.items())

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", self.policy)
        response.headers.setdefault(
            "Permissions-Policy", "camera=(self), geolocation=(), microphone=()"
        )
        return response


class PersonLanguageMiddleware:
    """Speaks the language that the signed-in person chose, whatever the browser asks for."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:
            translation.activate(request.user.language)
            request.LANGUAGE_CODE = request.user.language
        return self.get_response(request)
