"""What the office asks for and says on the Today page; knows no rule of arrivals."""

from datetime import date
from typing import Any

from django import forms
from django.utils.dateparse import parse_date
from django.utils.translation import gettext_lazy as _

from scheduling.models import WindowTold

FIRST_YEAR, LAST_YEAR = 2000, 2100
LARGEST = 2**63 - 1


def day_read(text: str) -> date | None:
    """Read a day such as 2027-03-01; None for what is none of this century."""
    try:
        day = parse_date(text) if len(text) == len("2027-03-01") else None
    except ValueError:
        return None
    return day if day is not None and FIRST_YEAR <= day.year < LAST_YEAR else None


class WindowForm(forms.Form):
    """A time of arrival to tell; `rung` names who was told it on the telephone, empty for mail."""

    job = forms.IntegerField(min_value=1, max_value=LARGEST)
    day = forms.CharField(max_length=10)
    from_at = forms.DateTimeField()
    to_at = forms.DateTimeField()
    rung = forms.ChoiceField(choices=[("", ""), *WindowTold.To.choices], required=False)

    def clean_day(self) -> date:
        """Demand a day of this century."""
        day = day_read(self.cleaned_data["day"])
        if day is None:
            raise forms.ValidationError(_("Expected a day such as 2027-03-01."))
        return day

    def clean(self) -> dict[str, Any]:
        """Demand both ends in this century, so that they can be told in any zone."""
        ends = [self.cleaned_data.get(name) for name in ("from_at", "to_at")]
        if any(end is not None and not FIRST_YEAR <= end.year < LAST_YEAR for end in ends):
            raise forms.ValidationError(_("Expected times of this century."))
        return self.cleaned_data
