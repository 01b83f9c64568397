"""The outbox for programs, read only: what was sent and what died; no text, for it holds links."""

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers, viewsets

from contractor.access import Action, scope_of
from contractor.models import OutboxMail
from contractor.outbox.queries import mails_of


class OutboxMailSerializer(serializers.ModelSerializer[OutboxMail]):
    """A mail to a superintendent, and how far it is."""

    branch = serializers.CharField(source="branch.name", read_only=True)
    to = serializers.CharField(source="address.email", read_only=True)
    stopped_at = serializers.DateTimeField(
        source="address.stopped_at", read_only=True, allow_null=True
    )

    class Meta:
        model = OutboxMail
        fields = [
            "id", "kind", "branch", "to", "to_name", "language", "subject", "state", "tries",
            "last_error", "created_at", "next_try_at", "expires_at", "sent_at", "stopped_at",
        ]  # fmt: skip


class OutboxMailFilter(django_filters.FilterSet):
    """Mails by state and kind."""

    class Meta:
        model = OutboxMail
        fields = ["state", "kind"]


class OutboxMailViewSet(viewsets.ReadOnlyModelViewSet[OutboxMail]):
    """Mails of the branches that the caller sees."""

    action_needed = Action.SEND_CHECKLIST
    serializer_class = OutboxMailSerializer
    filterset_class = OutboxMailFilter
    queryset = OutboxMail.objects.none()

    def get_queryset(self) -> QuerySet[OutboxMail]:
        return mails_of(scope_of(self.request.user)).order_by("id")
