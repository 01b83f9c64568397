"""The API of the catalogue of conditions: read by the desk, changed by the office."""

from typing import Any

import django_filters
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext
from drf_spectacular.utils import extend_schema
from rest_framework import exceptions, serializers, status, viewsets
from rest_framework.request import Request
from rest_framework.response import Response

from contractor.access import Action
from contractor.events import Actor
from contractor.models import Event
from jobs.catalogue.services.entries import CHANGEABLE, catalogue_change
from jobs.conditions.words import GATE_NAMES, PARTY_NAMES
from jobs.desk.services import Stale
from jobs.desk.who import person
from jobs.models import CatalogueItem


class CatalogueQuicker(exceptions.APIException):
    """Somebody changed the entry meanwhile."""

    status_code = status.HTTP_409_CONFLICT
    default_detail = "Somebody changed this meanwhile; read it again."


def _words(**options: Any) -> serializers.ListField:
    return serializers.ListField(child=serializers.CharField(max_length=20), **options)


class CatalogueItemSerializer(serializers.ModelSerializer[CatalogueItem]):
    """An entry of the catalogue; a change names the version that it is of."""

    owed_by = serializers.ChoiceField(choices=list(PARTY_NAMES))
    gate = serializers.ChoiceField(choices=list(GATE_NAMES))
    houses = serializers.ChoiceField(choices=["new", "old", "both"])
    holds = _words()
    spaces = _words()
    covers = _words()
    only_with = _words()
    not_with = _words()
    follows = _words()
    lag_steps = _words()
    version = serializers.IntegerField(min_value=1, max_value=2**31 - 1)

    class Meta:
        model = CatalogueItem
        fields = ["id", "code", *sorted(CHANGEABLE), "retired", "version"]
        read_only_fields = ["id", "code", "retired"]


class CatalogueFilter(django_filters.FilterSet):
    """Entries by gate, by who owes them, retired or not."""

    class Meta:
        model = CatalogueItem
        fields = ["gate", "owed_by", "houses", "retired"]


class CatalogueViewSet(viewsets.ReadOnlyModelViewSet[CatalogueItem]):
    """The catalogue of the whole company."""

    serializer_class = CatalogueItemSerializer
    filterset_class = CatalogueFilter
    queryset = CatalogueItem.objects.all()

    @property
    def action_needed(self) -> Action:
        """Reading is for the desk, changing for the office."""
        request = getattr(self, "request", None)
        is_change = request is not None and request.method == "PATCH"
        return Action.EDIT_CATALOGUE if is_change else Action.SEE_CATALOGUE

    @extend_schema(request=CatalogueItemSerializer, responses=CatalogueItemSerializer)
    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Change fields of an entry; `version` is the one that was read."""
        item = self.get_object()
        given = self.get_serializer(item, data=request.data, partial=True)
        given.is_valid(raise_exception=True)
        values = dict(given.validated_data)
        version = values.pop("version", None)
        if version is None:
            raise exceptions.ValidationError({"version": [gettext("Say of which version.")]})
        try:
            changed = catalogue_change(
                item_id=item.pk,
                version=version,
                values=values,
                actor=Actor.of_user(person(request), Event.Source.OFFICE),
                now=timezone.now(),
            )
        except Stale as stale:
            raise CatalogueQuicker from stale
        except ValidationError as error:
            raise exceptions.ValidationError(error.message_dict) from error
        return Response(self.get_serializer(changed).data)
