"""What an owner keeps: yards, crews, machines, materials, people; not jobs and weeks."""

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib import admin, messages
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.models import Group
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from contractor.admin_events import AnyModelAdmin, OwnerAdmin, OwnerInline, OwnerOnly, event_of
from contractor.events import Actor
from contractor.models import (
    BattSize,
    Branch,
    CavityRow,
    ChartRow,
    Crew,
    CrewMember,
    DayOff,
    DriveTime,
    Event,
    Holiday,
    Machine,
    Material,
    MemberSkill,
    PlanCosts,
    User,
    UsualMaterial,
)
from contractor.ports import RATES_CHANGED

FOUND = 302

if TYPE_CHECKING:
    AnyModelForm = forms.ModelForm[ChartRow]
    AnyUserAdmin = UserAdmin[User]
else:
    AnyModelForm, AnyUserAdmin = forms.ModelForm, UserAdmin

admin.site.site_header = admin.site.site_title = "Baywright"
admin.site.unregister(Group)


class RatedAdmin(OwnerAdmin):
    """A page of what estimates rest on: after a change open jobs are priced anew."""

    def save_related(self, request: HttpRequest, form: Any, formsets: Any, change: bool) -> None:
        """Save the rows below too, then have the open jobs estimated and say how many changed."""
        super().save_related(request, form, formsets, change)
        if not change:
            return
        assert isinstance(request.user, User)  # noqa: S101 - `is_owner` has let nobody else in
        actor, now = Actor.of_user(request.user), timezone.now()
        done = RATES_CHANGED.ask(thing=form.instance, actor=actor, now=now)
        told = ngettext(
            "%(n)d open job was re-priced.", "%(n)d open jobs were re-priced.", done.changed
        )
        self.message_user(request, told % {"n": done.changed})
        for sentence in done.refused:
            self.message_user(request, sentence, messages.WARNING)


class PlanCostsInline(OwnerInline):
    model = PlanCosts


class HolidayInline(OwnerInline):
    model = Holiday


class UsualMaterialInline(OwnerInline):
    model = UsualMaterial


@admin.register(Branch)
class BranchAdmin(RatedAdmin):
    """A yard with its costs, holidays and usual materials."""

    list_display = ("name", "time_zone", "day_start", "day_minutes")
    inlines = (PlanCostsInline, HolidayInline, UsualMaterialInline)


@admin.register(DriveTime)
class DriveTimeAdmin(OwnerAdmin):
    """Measured minutes between places."""

    list_display = ("branch", "from_place", "to_place", "minutes")
    list_filter = ("branch",)


class CrewMemberInline(OwnerInline):
    model = CrewMember
    show_change_link = True


@admin.register(Crew)
class CrewAdmin(OwnerAdmin):
    """A crew with its members."""

    list_display = ("name", "branch", "pace", "active")
    list_filter = ("branch", "active")
    inlines = (CrewMemberInline,)


class MemberSkillInline(OwnerInline):
    model = MemberSkill


@admin.register(CrewMember)
class CrewMemberAdmin(OwnerAdmin):
    """A member with skills."""

    list_display = ("name", "crew", "is_lead", "active")
    list_filter = ("crew__branch", "active")
    inlines = (MemberSkillInline,)


@admin.register(Machine)
class MachineAdmin(RatedAdmin):
    """A blowing machine."""

    list_display = ("name", "branch", "open_lb_per_hour", "dense_lb_per_hour", "active")
    list_filter = ("branch", "active")


@admin.register(DayOff)
class DayOffAdmin(OwnerAdmin):
    """Days on which a crew, a member or a machine is not there."""

    list_display = ("__str__", "first_date", "last_date", "reason")
    date_hierarchy = "first_date"


class ChartRowForm(AnyModelForm):
    """A line of a chart, whose weight is a number or an exact fraction."""

    class Meta:
        model = ChartRow
        fields = "__all__"

    def clean_lb_per_ft2(self) -> str:
        """Refuse what the estimator could not read."""
        text = str(self.cleaned_data["lb_per_ft2"]).replace(" ", "")
        try:
            weight = Fraction(text)
        except (ValueError, ZeroDivisionError):
            weight = Fraction(0)
        if not 0 < weight <= 50:
            raise ValidationError(
                gettext("Expected a weight in lb/ft2, such as 1.867 or 28/15, at most 50.")
            )
        return text


class ChartRowInline(OwnerInline):
    model = ChartRow
    form = ChartRowForm


class CavityRowInline(OwnerInline):
    model = CavityRow


class BattSizeInline(OwnerInline):
    model = BattSize


@admin.register(Material)
class MaterialAdmin(RatedAdmin):
    """A material with its charts and sizes, as its label has them; its page checks them too."""

    list_display = ("name", "key", "kind", "bag_lb")
    inlines = (ChartRowInline, CavityRowInline, BattSizeInline)

    def save_model(self, request: HttpRequest, obj: Any, form: Any, change: bool) -> None:
        """Save as another version, so that who has the page of the material open is told."""
        obj.version += change
        super().save_model(request, obj, form, change)


@admin.register(User)
class PersonAdmin(OwnerAdmin, AnyUserAdmin):
    """People who sign in, with role and branch."""

    list_display = ("username", "first_name", "last_name", "role", "branch", "is_active")
    list_filter = ("role", "branch", "is_active")
    fieldsets = (
        (None, {"fields": ("username", "password")}),
        (_("Person"), {"fields": ("first_name", "last_name", "email", "language")}),
        (
            _("What the person may do"),
            {"fields": ("role", "branch", "may_clear_stop", "is_active", "is_staff")},
        ),
    )
    add_fieldsets = (
        (
            None,
            {
                "classes": ("wide",),
                "fields": (
                    "username",
                    "role",
                    "branch",
                    "usable_password",
                    "password1",
                    "password2",
                ),
            },
        ),
    )
    filter_horizontal = ()

    def user_change_password(
        self, request: HttpRequest, id: str, form_url: str = ""
    ) -> HttpResponse:
        """Set a password, and leave an event; the password itself is nobody's to read."""
        response = super().user_change_password(request, id, form_url)
        if request.method == "POST" and response.status_code == FOUND:
            event_of(request, "changed", User.objects.get(pk=id), {"password": []})
        return response


@admin.register(Event)
class EventAdmin(OwnerOnly, AnyModelAdmin):
    """The record of who changed what; nobody changes it, an owner neither."""

    list_display = ("at", "who", "source", "verb", "noun", "noun_id", "branch")
    list_filter = ("source", "verb", "noun", "branch")
    date_hierarchy = "at"

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse: services write it."""
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse: nobody changes it."""
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Refuse: nobody removes from it."""
        return False
