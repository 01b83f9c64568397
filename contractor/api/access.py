"""Pages and permission of the APIs; knows no view, since DRF loads this before its views."""

from typing import TYPE_CHECKING

from django.http import Http404
from rest_framework.pagination import PageNumberPagination
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from contractor.access import may

if TYPE_CHECKING:
    from rest_framework.views import APIView


class Pages(PageNumberPagination):
    """Pages of 50, up to 200 by `page_size`."""

    page_size_query_param = "page_size"
    max_page_size = 200


class MayCall(BasePermission):
    """Allows a call to who may do the view's `action_needed`; a view without one to all signed in.

    Who is signed in but may not gets 404: not yours looks like not there.
    """

    def has_permission(self, request: Request, view: "APIView") -> bool:
        if not request.user.is_authenticated:
            return False
        needed = getattr(view, "action_needed", None)
        if needed is not None and not may(request.user, needed):
            raise Http404
        return True
