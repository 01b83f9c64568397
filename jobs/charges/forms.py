"""What is asked when we take a condition over: how much of it, who agreed, a photo."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from contractor.files.photos import Picture, picture_read
from jobs.estimating.taken_over import MOST_FLUES, MOST_LENGTH_FT, Taken

MOST_AMOUNT = 10_000


class TakeOverForm(forms.Form):
    """How much of it there is, by the measure of the catalogue's entry, and who agreed."""

    version = forms.IntegerField(min_value=1, label=_("Version"))
    amount = forms.DecimalField(
        min_value=0,
        max_value=MOST_AMOUNT,
        max_digits=7,
        decimal_places=2,
        required=False,
        label=_("How much"),
    )
    flues = forms.IntegerField(
        min_value=0, max_value=MOST_FLUES, required=False, label=_("Flues and chimneys")
    )
    length_ft = forms.DecimalField(
        min_value=0,
        max_value=MOST_LENGTH_FT,
        max_digits=5,
        decimal_places=2,
        required=False,
        label=_("Feet of one bay"),
    )
    agreed_by = forms.CharField(max_length=120, label=_("Who agreed"))
    note = forms.CharField(required=False, max_length=150, label=_("Note"))
    inspect_again = forms.BooleanField(required=False, label=_("Fireblocking"))
    photo = forms.FileField(required=False, label=_("Photo"))

    def __init__(self, data: Any, files: Any = None, *, measure: str) -> None:
        super().__init__(data, files)
        self.measure = measure

    def clean_photo(self) -> Picture | None:
        """Return the photograph made anew, without what the phone wrote into it."""
        upload = self.cleaned_data["photo"]
        return picture_read(upload) if upload else None

    def taken(self) -> Taken:
        """Return the measures as they were typed; what was left empty is none."""
        given = self.cleaned_data
        return Taken(
            measure=self.measure,
            amount=given["amount"] or Decimal(0),
            flues=given["flues"] or 0,
            length_ft=given["length_ft"],
        )
