"""Forms about rates and actuals: a pin with its reason, how the yard works, what a step took."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from contractor.models import Branch, CodeEdition, Crew, Machine
from jobs.models.actual import MOST_BAGS, MOST_MINUTES, MOST_PEOPLE


class PinForm(forms.Form):
    """A rate set by hand. What it may be the service knows."""

    path = forms.CharField(max_length=60, label=_("Rate"))
    value = forms.DecimalField(max_digits=12, decimal_places=4, label=_("Value"))
    because = forms.CharField(max_length=150, label=_("Why"))


class UnpinForm(forms.Form):
    """Which pin is taken out."""

    path = forms.CharField(max_length=60, label=_("Rate"))


class YardForm(forms.Form):
    """How the yard works, as estimates take it."""

    hose_ft = forms.IntegerField(
        required=False, min_value=0, max_value=1000, label=_("Usual hose, ft")
    )
    lift_ft = forms.IntegerField(
        required=False, min_value=0, max_value=1000, label=_("Usual lift, ft")
    )
    heat_on = forms.BooleanField(required=False, label=_("Add rests of hot days to attic work"))
    heat_outdoor_f = forms.IntegerField(
        required=False, min_value=-60, max_value=140, label=_("Outdoor air, °F")
    )
    code_edition = forms.TypedChoiceField(
        required=False,
        coerce=int,
        empty_value=None,
        choices=[("", _("none")), *CodeEdition.choices],
        label=_("Energy code, edition"),
    )
    climate_zone = forms.IntegerField(
        required=False, min_value=1, max_value=8, label=_("Climate zone")
    )
    zone_is_marine = forms.BooleanField(required=False, label=_("Marine 4"))


class ActualForm(forms.Form):
    """What a whole step took."""

    crew = forms.ModelChoiceField(queryset=Crew.objects.none(), label=_("Crew"))
    people = forms.IntegerField(min_value=1, max_value=MOST_PEOPLE, label=_("People"))
    machine = forms.ModelChoiceField(
        queryset=Machine.objects.none(),
        required=False,
        empty_label=_("not told"),
        label=_("Machine"),
    )
    minutes = forms.IntegerField(min_value=1, max_value=MOST_MINUTES, label=_("Minutes on site"))
    bags = forms.IntegerField(required=False, min_value=0, max_value=MOST_BAGS, label=_("Bags"))
    worked_on = forms.DateField(
        label=_("Finished on"), widget=forms.DateInput(attrs={"type": "date"})
    )
    note = forms.CharField(required=False, max_length=200, label=_("Note"))

    def __init__(
        self, data: Any = None, *, branch: Branch, blown: bool, bagged: bool, **more: Any
    ) -> None:
        super().__init__(data, **more)
        self.choose("crew", Crew.objects.filter(branch=branch, active=True))
        self.choose("machine", Machine.objects.filter(branch=branch, active=True))
        if not blown:
            del self.fields["machine"]
        if not bagged:
            del self.fields["bags"]

    def choose(self, name: str, rows: Any) -> None:
        """Offer these rows in a field."""
        field = self.fields[name]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101 - the two above are
        field.queryset = rows

    def arguments(self) -> dict[str, Any]:
        """Return the facts by the names of the service's arguments."""
        return {"machine": None, "bags": None, **self.cleaned_data}
