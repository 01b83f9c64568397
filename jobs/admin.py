"""What an owner keeps of customers; jobs, conditions and estimates have pages of their own."""

from django.contrib import admin

from contractor.admin_events import OwnerAdmin, OwnerInline
from jobs.models import Builder, Superintendent


class SuperintendentInline(OwnerInline):
    model = Superintendent


@admin.register(Builder)
class BuilderAdmin(OwnerAdmin):
    """A builder with superintendents and the agreed price of a late day."""

    list_display = ("name", "late_cents_per_day")
    search_fields = ("name",)
    inlines = (SuperintendentInline,)
