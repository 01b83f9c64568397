"""Phones of crew leads and the links that sign them in, for programs; no secret but a new one."""

from typing import Any

import django_filters
from django.db.models import QuerySet
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from contractor.access import Action, scope_of
from contractor.events import Actor
from contractor.models import Phone, PhoneLink
from contractor.phones.queries import leads_of, phone_links_of, phones_of
from contractor.phones.services import phone_link_make, phone_link_revoke, phone_revoke
from contractor.public import public_address

LARGEST = 2**63 - 1


class PhoneSerializer(serializers.ModelSerializer[Phone]):
    """A phone, what it last said that it has not sent, and whether it is ended."""

    who = serializers.CharField(source="person.__str__", read_only=True)
    branch = serializers.CharField(source="person.branch.name", read_only=True)

    class Meta:
        model = Phone
        fields = [
            "id", "person", "who", "branch", "name", "made_at", "last_seen_at", "reported_at",
            "unsent", "unsent_photos", "revoked_at",
        ]  # fmt: skip


class PhoneFilter(django_filters.FilterSet):
    """Phones by person, and those that are ended or not."""

    person = django_filters.NumberFilter(field_name="person_id", min_value=1, max_value=LARGEST)
    ended = django_filters.BooleanFilter(
        field_name="revoked_at", lookup_expr="isnull", exclude=True
    )

    class Meta:
        model = Phone
        fields = ["person"]


class PhoneViewSet(viewsets.ReadOnlyModelViewSet[Phone]):
    """Phones of people of the branches that the caller sees."""

    action_needed = Action.MANAGE_PHONES
    serializer_class = PhoneSerializer
    filterset_class = PhoneFilter
    queryset = Phone.objects.none()

    def get_queryset(self) -> QuerySet[Phone]:
        return phones_of(scope_of(self.request.user)).order_by("id")

    @extend_schema(request=None, responses=PhoneSerializer, filters=False)
    @action(detail=True, methods=["post"], filterset_class=None)
    def revoke(self, request: Request, pk: str) -> Response:
        """Sign the phone out for good; one that had ended stays as it is."""
        phone = self.get_object()
        phone_revoke(phone_id=phone.pk, actor=_actor(request), now=timezone.now())
        return Response(self.get_serializer(self.get_object()).data)


class PhoneLinkSerializer(serializers.ModelSerializer[PhoneLink]):
    """A link and what became of it, without its address."""

    who = serializers.CharField(source="person.__str__", read_only=True)

    class Meta:
        model = PhoneLink
        fields = ["id", "person", "who", "made_at", "expires_at", "used_at", "revoked_at"]


class PhoneLinkFilter(django_filters.FilterSet):
    """Links by person, and those that still open."""

    person = django_filters.NumberFilter(field_name="person_id", min_value=1, max_value=LARGEST)
    open = django_filters.BooleanFilter(method="opening")

    class Meta:
        model = PhoneLink
        fields = ["person"]

    def opening(self, links: QuerySet[PhoneLink], name: str, value: bool) -> QuerySet[PhoneLink]:
        """Keep the links that still open, or the others."""
        opens = PhoneLink.objects.open(timezone.now()).values("pk")
        return links.filter(pk__in=opens) if value else links.exclude(pk__in=opens)


class PhoneLinkAskedSerializer(serializers.Serializer[dict[str, Any]]):
    """For whom a link is to be made: a crew lead at work."""

    person = serializers.IntegerField(min_value=1, max_value=LARGEST)


class PhoneLinkMadeSerializer(PhoneLinkSerializer):
    """A link that was made just now, with the address that is shown only here."""

    address = serializers.URLField(read_only=True)

    class Meta(PhoneLinkSerializer.Meta):
        fields = [*PhoneLinkSerializer.Meta.fields, "address"]


class PhoneLinkViewSet(viewsets.ReadOnlyModelViewSet[PhoneLink]):
    """Links for people of the branches that the caller sees."""

    action_needed = Action.MANAGE_PHONES
    serializer_class = PhoneLinkSerializer
    filterset_class = PhoneLinkFilter
    queryset = PhoneLink.objects.none()

    def get_queryset(self) -> QuerySet[PhoneLink]:
        return phone_links_of(scope_of(self.request.user)).order_by("id")

    @extend_schema(request=PhoneLinkAskedSerializer, responses={201: PhoneLinkMadeSerializer})
    def create(self, request: Request) -> Response:
        """Make a link for a crew lead; an earlier one that was not used opens nothing any more."""
        asked = PhoneLinkAskedSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        leads = leads_of(scope_of(request.user)).select_related("branch")
        lead = leads.filter(pk=asked.validated_data["person"]).first()
        if lead is None:
            raise Http404
        link, secret = phone_link_make(person=lead, actor=_actor(request), now=timezone.now())
        made = PhoneLinkSerializer(link).data
        made["address"] = public_address(request) + reverse("phone-link", args=[secret])
        headers = {"Cache-Control": "no-store"}
        return Response(made, status=status.HTTP_201_CREATED, headers=headers)

    @extend_schema(request=None, responses=PhoneLinkSerializer, filters=False)
    @action(detail=True, methods=["post"], filterset_class=None)
    def revoke(self, request: Request, pk: str) -> Response:
        """Withdraw a link; one that was used or withdrawn before stays as it is."""
        link = self.get_object()
        phone_link_revoke(link_id=link.pk, actor=_actor(request), now=timezone.now())
        return Response(self.get_serializer(self.get_object()).data)


def _actor(request: Request) -> Actor:
    return Actor.of_user(request.user)  # type: ignore[arg-type]
