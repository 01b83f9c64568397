"""The form of a new job: builder and site by name, dates, superintendent; writes nothing."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from contractor.models import Branch
from jobs.desk.forms import near_day
from jobs.houses.forms.owner import OwnerFields


class JobNewForm(OwnerFields):
    """Only builder and site must be said; a name that is there already is taken as it is."""

    field_order = ("branch", "builder", "site", "unit", "address")
    branch = forms.ModelChoiceField(queryset=Branch.objects.none(), label=_("Branch"))
    builder = forms.CharField(
        max_length=120,
        label=_("Builder"),
        help_text=_("The company that builds the house, or whoever asked for the work."),
    )
    site = forms.CharField(
        max_length=120, label=_("Site"), help_text=_("The address or the name of the development.")
    )
    unit = forms.CharField(
        max_length=60,
        required=False,
        label=_("Unit"),
        help_text=_("Lot, unit or house number; empty where the site is one house."),
    )
    address = forms.CharField(max_length=200, required=False, label=_("Address"))
    gate_note = forms.CharField(
        max_length=200,
        required=False,
        label=_("Gate or lock"),
        help_text=_("Code or key box; only the crews that go there and the office see it."),
    )
    latitude = forms.DecimalField(
        min_value=-90,
        max_value=90,
        max_digits=9,
        decimal_places=6,
        required=False,
        label=_("Latitude"),
        help_text=_("Degrees, such as 41.600500; may be told later."),
    )
    longitude = forms.DecimalField(
        min_value=-180,
        max_value=180,
        max_digits=9,
        decimal_places=6,
        required=False,
        label=_("Longitude"),
        help_text=_("Degrees; west is below zero."),
    )
    year_built = forms.IntegerField(
        min_value=1700,
        max_value=2100,
        required=False,
        label=_("Year built"),
        help_text=_("Empty for a new house."),
    )
    ready_date = forms.DateField(
        required=False,
        label=_("The builder says it will be ready"),
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    promised_date = forms.DateField(
        required=False,
        label=_("We promised to be finished by"),
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    superintendent = forms.CharField(max_length=120, required=False, label=_("Superintendent"))
    superintendent_email = forms.EmailField(required=False, label=_("E-mail"))
    superintendent_phone = forms.CharField(
        max_length=30, required=False, label=_("Phone"), widget=forms.TextInput({"type": "tel"})
    )

    def __init__(
        self, data: Any = None, *, branches: Iterable[Branch], builders: Iterable[str], today: date
    ) -> None:
        """Offer `branches`, which the person may work for, and `builders`, names that exist."""
        super().__init__(data, use_required_attribute=False, label_suffix="")
        self.today, self.builders = today, list(builders)
        chosen = self.fields["branch"]
        assert isinstance(chosen, forms.ModelChoiceField)  # noqa: S101
        chosen.queryset = Branch.objects.filter(pk__in=[branch.pk for branch in branches])
        only = list(branches)
        if len(only) == 1:
            chosen.initial, chosen.widget = only[0].pk, chosen.hidden_widget()
        for name in ("builder", "site", "superintendent"):
            self.fields[name].widget.attrs |= {"list": f"{name}-names", "autocomplete": "off"}
        for name in ("latitude", "longitude"):
            self.fields[name].widget = forms.TextInput({"inputmode": "decimal"})

    def clean_builder(self) -> str:
        """Return a builder who is there already, written large or small."""
        name = " ".join(self.cleaned_data["builder"].split())
        return next((one for one in self.builders if one.casefold() == name.casefold()), name)

    def clean_site(self) -> str:
        return " ".join(self.cleaned_data["site"].split())

    def clean_ready_date(self) -> date | None:
        return near_day(self.cleaned_data["ready_date"], self.today)

    def clean_promised_date(self) -> date | None:
        return near_day(self.cleaned_data["promised_date"], self.today)

    def clean(self) -> dict[str, Any]:
        """Demand both coordinates or neither; a superintendent's mail and phone need a name."""
        cleaned = super().clean() or self.cleaned_data
        for given, other in (("latitude", "longitude"), ("longitude", "latitude")):
            if cleaned.get(given) is not None and cleaned.get(other) is None:
                self._missing(other, _("Give both latitude and longitude, or neither."))
        contact = cleaned.get("superintendent_email") or cleaned.get("superintendent_phone")
        if contact and not cleaned.get("superintendent"):
            self._missing("superintendent", _("Say whose mail or phone it is."))
        return cleaned

    def _missing(self, name: str, words: Any) -> None:
        if name not in self.errors:
            self.add_error(name, ValidationError(words))
