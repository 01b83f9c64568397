"""Who lives in a house, and how the person is told when we come; writes nothing."""

from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from jobs.houses.services.job import OWNER


class OwnerFields(forms.Form):
    """Name, mail, phone and language of who lives in the house; all may be empty."""

    owner_name = forms.CharField(
        max_length=120,
        required=False,
        label=_("Owner of the house"),
        help_text=_("Of a house that somebody lives in: whom we tell when we come."),
    )
    owner_email = forms.EmailField(required=False, label=_("Owner's e-mail"))
    owner_phone = forms.CharField(
        max_length=30,
        required=False,
        label=_("Owner's phone"),
        widget=forms.TextInput({"type": "tel"}),
    )
    owner_language = forms.ChoiceField(
        choices=settings.LANGUAGES, required=False, label=_("Owner's language")
    )

    def clean_owner_name(self) -> str:
        return " ".join(self.cleaned_data["owner_name"].split())

    def clean_owner_language(self) -> str:
        return self.cleaned_data["owner_language"] or "en"

    def clean(self) -> dict[str, Any]:
        """Demand a name to which a mail and a phone belong."""
        cleaned = super().clean() or self.cleaned_data
        contact = cleaned.get("owner_email") or cleaned.get("owner_phone")
        if contact and not cleaned.get("owner_name") and "owner_name" not in self.errors:
            self.add_error("owner_name", ValidationError(_("Say whose mail or phone it is.")))
        return cleaned


class OwnerForm(OwnerFields):
    """The same for a job that is there, with the version that the person saw."""

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput)

    def changes(self) -> dict[str, object]:
        """Return the fields of the job as posted."""
        return {name: self.cleaned_data[name] for name in OWNER}
