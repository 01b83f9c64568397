"""What the office types on the week, move and run pages; knows no rule of planning."""

from collections.abc import Iterable
from datetime import date
from typing import Any, cast

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from contractor.models import Branch, Crew
from contractor.workdays import IsoWeek, WorkdayError, parse_iso_week
from scheduling.words import long_day

WEEKS = [(number, str(number)) for number in range(1, 7)]


class RevisionsField(forms.Field):
    """The revision of every week as the page showed it: `2027-W09=4`, once for each week."""

    widget = forms.MultipleHiddenInput

    def to_python(self, value: Any) -> dict[str, int]:
        """Return {"2027-W09": 4}; raise ValidationError naming what is not of that form."""
        return dict(self._revision(text) for text in value or [])

    def _revision(self, text: str) -> tuple[str, int]:
        label, _equals, revision = str(text).partition("=")
        try:
            return str(parse_iso_week(label)), int(revision)
        except (WorkdayError, ValueError) as error:
            raise ValidationError(
                _("%(text)s: expected a week and its revision such as 2027-W09=4."),
                params={"text": text},
            ) from error


class WeekFilter(forms.Form):
    """The query string of the week page."""

    weeks = forms.TypedChoiceField(choices=WEEKS, coerce=int, required=False)
    crew = forms.IntegerField(min_value=1, required=False)
    posted = forms.BooleanField(required=False)

    def clean_weeks(self) -> int:
        """Return one week where none is asked for."""
        return self.cleaned_data["weeks"] or 1


class ChangeForm(forms.Form):
    """Any change of a week: it names the revisions that it was decided on."""

    expected = RevisionsField()


class WholeWeekForm(ChangeForm):
    """Posting or discarding: `page` is the first week of the page that it was asked from."""

    page = forms.CharField(required=False)

    def clean_page(self) -> IsoWeek | None:
        """Return the week, None where the form names none."""
        try:
            return parse_iso_week(self.cleaned_data["page"]) if self.cleaned_data["page"] else None
        except WorkdayError as error:
            raise ValidationError(str(error)) from error


class PostForm(WholeWeekForm):
    """Posting, for a second time once it is said which houses are not ready."""

    all_the_same = forms.BooleanField(required=False)


class PlanForm(forms.Form):
    """How much to plan, and how long to search."""

    weeks = forms.TypedChoiceField(label=_("Weeks"), choices=WEEKS, coerce=int, initial=2)
    seconds = forms.IntegerField(label=_("Seconds at most"), min_value=1, max_value=600)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["seconds"].initial = settings.SOLVER_SECONDS


class StopMoveForm(ChangeForm):
    """Which crew does it, and on which day; the service judges whether they can."""

    crew = forms.ModelChoiceField(label=_("Crew"), queryset=Crew.objects.none(), empty_label=None)
    day = forms.DateField(label=_("Day"), widget=forms.Select)

    def __init__(self, *args: Any, branch: Branch, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        crews = cast("forms.ModelChoiceField[Crew]", self.fields["crew"])
        crews.queryset = Crew.objects.filter(branch=branch, active=True)

    def offer(self, days: Iterable[date]) -> None:
        """Give the days to choose from."""
        widget = cast(forms.Select, self.fields["day"].widget)
        widget.choices = [(day.isoformat(), long_day(day)) for day in days]
