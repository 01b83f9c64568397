"""The form for what a crew found: could it start, and if not, what was missing."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.conditions.words import HOLDING_GATES, STEP_NAMES, US
from jobs.models import Job
from jobs.wording import word

MOST_NOTE = 300
YES, NO = "yes", "no"


class FindingForm(forms.Form):
    """A visit: its day, what the crew came for, whether it could start, what was missing."""

    day = forms.DateField(label=_("Day"), widget=forms.DateInput(attrs={"type": "date"}))
    step_kinds = forms.MultipleChoiceField(
        label=_("Steps that the crew came for"), widget=forms.CheckboxSelectMultiple
    )
    could_start = forms.ChoiceField(
        label=_("Could the crew start?"),
        choices=[(YES, _("yes")), (NO, _("no, it was turned away"))],
        widget=forms.RadioSelect,
    )
    missing = forms.TypedMultipleChoiceField(
        label=_("What was missing"),
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    note = forms.CharField(label=_("Note"), max_length=MOST_NOTE, required=False)

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        steps = [step.kind for step in job.steps.all() if step.needed]
        needed = job.conditions.filter(needed=True, gate__in=HOLDING_GATES).exclude(owed_by=US)
        self.fields["step_kinds"].choices = [  # type: ignore[attr-defined]
            (kind, word(STEP_NAMES.get(kind, kind))) for kind in steps
        ]
        self.fields["missing"].choices = [  # type: ignore[attr-defined]
            (row.pk, word(row.name)) for row in needed if set(row.holds) & set(steps)
        ]

    def arguments(self) -> dict[str, Any]:
        """Return what was told, as the service takes it."""
        told = self.cleaned_data
        return told | {"could_start": told["could_start"] == YES}
