"""The form by which an office sets right what was said of a finished step."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from scheduling.facts.forms.fact import FinishedForm
from scheduling.facts.services.corrections import MOST_REASON


class _DepthsInput(forms.TextInput):
    """All depths in one box, parted by spaces."""

    def value_from_datadict(self, data: Any, files: Any, name: str) -> list[str]:
        value = data.get(name) or ""
        return [value] if value.strip() else []

    def format_value(self, value: Any) -> str:
        return " ".join(value) if isinstance(value, list) else str(value or "")


class CorrectionForm(FinishedForm):
    """The figures as they should have been said, and why they are changed."""

    reason = forms.CharField(max_length=MOST_REASON, label=_("Reason"))
    seen = forms.IntegerField(min_value=0, widget=forms.HiddenInput)

    def __init__(self, data: Any = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.fields["depths_in"].widget = _DepthsInput()

    def clean_depths_in(self) -> list[float]:
        """Return the depths, none where the field was left empty."""
        return self.cleaned_data["depths_in"] or []
