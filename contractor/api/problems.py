"""Errors of the APIs as problem documents (RFC 9457); knows no model."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, JsonResponse
from rest_framework import exceptions, status
from rest_framework.response import Response
from rest_framework.views import exception_handler

PROBLEM_TYPE = "application/problem+json"


def problem_response(exc: Exception, context: dict[str, Any]) -> Response | None:
    """Turn what an API view raised into a problem document; None lets a true fault through."""
    if isinstance(exc, exceptions.NotAuthenticated):
        exc.status_code = status.HTTP_401_UNAUTHORIZED
    response = exception_handler(exc, context)
    if response is None:
        return None
    response.data = _problem(response.status_code, exc, response.data)
    response.content_type = PROBLEM_TYPE
    return response


def _problem(code: int, exc: Exception, data: Any) -> dict[str, Any]:
    titles = {
        400: "Not understood",
        401: "Sign in first",
        403: "Not allowed",
        404: "Not found",
        405: "Method not allowed",
        406: "Not available in that form",
        415: "Not readable in that form",
        429: "Too many requests",
    }
    problem: dict[str, Any] = {
        "type": "about:blank",
        "title": titles.get(code, "Refused"),
        "status": code,
    }
    if isinstance(exc, Http404 | PermissionDenied):
        problem["detail"] = "There is nothing here for you."
    elif isinstance(data, dict) and set(data) == {"detail"}:
        problem["detail"] = str(data["detail"])
    else:
        problem["detail"] = "Some values are not as expected."
        problem["errors"] = data
    return problem


def not_found(request: HttpRequest, unused: str = "") -> JsonResponse:
    """Answer for an API address that does not exist, in the form of all other errors."""
    body = _problem(404, Http404(), {})
    return JsonResponse(body, status=404, content_type=PROBLEM_TYPE)
