"""Admin pages for owners, every change of which leaves an event; names no model of its own."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, time
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.db import models
from django.db.models import QuerySet
from django.forms import BaseModelForm, BaseModelFormSet, ModelForm
from django.http import HttpRequest
from django.utils import timezone

from contractor.events import Actor, event_record
from contractor.models import Branch, Role, User

if TYPE_CHECKING:
    AnyModelAdmin = admin.ModelAdmin[Any]
    AnyTabularInline = admin.TabularInline[Any, Any]
else:  # Django's own classes take no type between brackets when they run
    AnyModelAdmin, AnyTabularInline = admin.ModelAdmin, admin.TabularInline

REMOVED = "removed"
_SECRET = frozenset({"password", "password1", "password2", "usable_password"})


def is_owner(request: HttpRequest) -> bool:
    """Tell whether an owner with staff rights asks; nobody else may do anything here."""
    user = request.user
    return isinstance(user, User) and user.is_active and user.is_staff and user.role == Role.OWNER


def event_of(
    request: HttpRequest, verb: str, thing: models.Model, what: dict[str, Any] | None = None
) -> None:
    """Record that the signed-in owner changed a thing through these pages."""
    assert isinstance(request.user, User)  # noqa: S101 - `is_owner` has let nobody else in
    event_record(
        actor=Actor.of_user(request.user),
        now=timezone.now(),
        verb=verb,
        thing=thing,
        branch=None if verb == REMOVED else _branch_of(thing),  # it may be what goes
        what={"title": str(thing), **(what or {})},
    )


def _branch_of(thing: models.Model) -> Branch | None:
    if isinstance(thing, Branch):
        return thing
    found = getattr(thing, "branch", None) or getattr(getattr(thing, "crew", None), "branch", None)
    return found if isinstance(found, Branch) else None


def _changes(form: BaseModelForm[Any]) -> dict[str, list[Any]]:
    """Return before and after of what a form changed; of passwords only that they did."""
    changes: dict[str, list[Any]] = {}
    for name in form.changed_data:
        if name in _SECRET:
            changes[name] = []
        else:
            before, after = form.initial.get(name), form.cleaned_data.get(name)
            changes[name] = [_plain(before), _plain(after)]
    return changes


def _plain(value: object) -> Any:
    if isinstance(value, models.Model):
        return value.pk
    if isinstance(value, Decimal | date | datetime | time):
        return str(value)
    return value if isinstance(value, str | int | float | None) else str(value)


class OwnerOnly:
    """Opens an admin page to owners and to nobody else."""

    def has_module_permission(self, request: HttpRequest) -> bool:
        """Tell whether the app is listed."""
        return is_owner(request)

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Tell whether rows are shown."""
        return is_owner(request)

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Tell whether rows can be added."""
        return is_owner(request)

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Tell whether rows can be changed."""
        return is_owner(request)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Tell whether rows can be removed."""
        return is_owner(request)


class OwnerAdmin(OwnerOnly, AnyModelAdmin):
    """A page of rows that an owner keeps."""

    def save_model(
        self, request: HttpRequest, obj: models.Model, form: ModelForm[Any], change: bool
    ) -> None:
        """Save, and leave an event where anything changed."""
        super().save_model(request, obj, form, change)
        if not change or form.changed_data:
            event_of(request, "changed" if change else "created", obj, _changes(form))

    def save_formset(
        self,
        request: HttpRequest,
        form: Any,
        formset: BaseModelFormSet[Any, Any],
        change: bool,
    ) -> None:
        """Save the rows below, each with an event."""
        formset.save(commit=False)
        for thing in formset.deleted_objects:
            event_of(request, REMOVED, thing)
        super().save_formset(request, form, formset, change)
        made = {id(thing) for thing in formset.new_objects}
        changed = {id(thing) for thing, _names in formset.changed_objects}
        for row in formset.forms:
            if id(row.instance) in made:
                event_of(request, "created", row.instance, _changes(row))
            elif id(row.instance) in changed:
                event_of(request, "changed", row.instance, _changes(row))

    def delete_model(self, request: HttpRequest, obj: models.Model) -> None:
        """Remove, and leave an event."""
        event_of(request, REMOVED, obj)
        super().delete_model(request, obj)

    def delete_queryset(self, request: HttpRequest, queryset: QuerySet[Any]) -> None:
        """Remove several, each with an event."""
        self._events_of_removed(request, queryset)
        super().delete_queryset(request, queryset)

    def _events_of_removed(self, request: HttpRequest, things: Iterable[models.Model]) -> None:
        for thing in things:
            event_of(request, REMOVED, thing)


class OwnerInline(OwnerOnly, AnyTabularInline):
    """Rows below the row that they belong to."""

    extra = 0
