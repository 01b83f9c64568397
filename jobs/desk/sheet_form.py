"""The form that takes a sheet; it looks at its size only, the sheet is read elsewhere."""

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.sheets import limits


class SheetForm(forms.Form):
    """A file, CSV or XLSX by what is in it."""

    sheet = forms.FileField(
        label=_("Sheet"),
        max_length=120,
        allow_empty_file=True,
        error_messages={"required": _("Choose the sheet first.")},
        widget=forms.FileInput(attrs={"accept": ".csv,.xlsx"}),
    )

    def clean_sheet(self) -> "UploadedFile[bytes]":
        """Refuse what is too large before any of it is read."""
        sheet: UploadedFile[bytes] = self.cleaned_data["sheet"]
        if sheet.size is not None and sheet.size > limits.MOST_BYTES:
            most = limits.MOST_BYTES // 1024 // 1024
            raise ValidationError(gettext("Expected at most %(most)d MB.") % {"most": most})
        return sheet

    def content(self) -> bytes:
        """Return the bytes of the sheet."""
        return bytes(self.cleaned_data["sheet"].read())

    def filename(self) -> str:
        """Return the name that the person's computer gives it."""
        return str(self.cleaned_data["sheet"].name)
