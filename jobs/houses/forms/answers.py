"""What the office posts about a house on its page: dates, an answered warning, a place."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.desk.forms import near_day


class DatesForm(forms.Form):
    """The two dates of a job; an empty one is taken away."""

    version = forms.IntegerField(min_value=1, label=_("Version"))
    ready_date = forms.DateField(required=False, label=_("Ready date"))
    promised_date = forms.DateField(required=False, label=_("Promised date"))

    def __init__(self, data: Any, *, today: date) -> None:
        super().__init__(data)
        self.today = today

    def clean_ready_date(self) -> date | None:
        return near_day(self.cleaned_data["ready_date"], self.today)

    def clean_promised_date(self) -> date | None:
        return near_day(self.cleaned_data["promised_date"], self.today)

    def changes(self) -> dict[str, object]:
        """Return the dates by the job's field names."""
        return {name: self.cleaned_data[name] for name in ("ready_date", "promised_date")}


class WarningForm(forms.Form):
    """Why somebody answers for a warning of the estimate."""

    answer = forms.CharField(max_length=300, label=_("Why it is all right"))


class PlaceForm(forms.Form):
    """Where a site lies, in degrees."""

    latitude = forms.DecimalField(
        min_value=-90, max_value=90, max_digits=9, decimal_places=6, label=_("Latitude")
    )
    longitude = forms.DecimalField(
        min_value=-180, max_value=180, max_digits=9, decimal_places=6, label=_("Longitude")
    )
