"""Sign-in, home, language, photographs, health; knows other pages only by their address name."""

import uuid

from django.conf import settings
from django.contrib.auth.views import LoginView
from django.db import connection
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from contractor.access import Action, may, require, scope_of
from contractor.files.photos import photos_visible
from contractor.frame.services import language_choose


class SignIn(LoginView):
    """The form that lets a person in; a person who is in goes on home."""

    template_name = "contractor/frame/sign_in.html"
    redirect_authenticated_user = True


def home(request: HttpRequest) -> HttpResponseRedirect:
    """Send each person to the page that their work starts on."""
    if not request.user.is_authenticated:
        return redirect("sign-in")
    if may(request.user, Action.PLAN_WEEK):
        return redirect("week")
    if may(request.user, Action.SEE_JOB):
        return redirect("job-list")
    return redirect("crew-days")


@require_POST
def language_set(request: HttpRequest) -> HttpResponseRedirect:
    """Keep the language a person chose, with the person or else in a cookie, and go back."""
    language = request.POST.get("language", "")
    back = request.POST.get("next", "")
    if not url_has_allowed_host_and_scheme(back, allowed_hosts={request.get_host()}):
        back = reverse("home")
    response = HttpResponseRedirect(back)
    if language in dict(settings.LANGUAGES):
        if request.user.is_authenticated:
            language_choose(user=request.user, language=language)
        response.set_cookie(settings.LANGUAGE_COOKIE_NAME, language, samesite="Lax")
    return response


@require(Action.SEE_JOB)
@require_safe
def photo_show(request: HttpRequest, photo_id: uuid.UUID) -> HttpResponse:
    """Show a photograph to the office that it was sent to, and to no store on the way."""
    photo = get_object_or_404(photos_visible(scope_of(request.user)), pk=photo_id)
    response = HttpResponse(bytes(photo.content), content_type="image/jpeg")
    response.headers["Cache-Control"] = "private, no-store"
    response.headers["Content-Disposition"] = f'inline; filename="{photo.pk}.jpg"'
    return response


def livez(request: HttpRequest) -> HttpResponse:
    """Say that the process answers."""
    return HttpResponse("alive\n", content_type="text/plain")


def readyz(request: HttpRequest) -> HttpResponse:
    """Say that the process reaches its database."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return HttpResponse("ready\n", content_type="text/plain")
