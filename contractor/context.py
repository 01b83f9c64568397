"""What the frame of every page needs: the person's way about; knows no page by import."""

from typing import Any

from django.http import HttpRequest

from contractor.access import Action, may

# Address name, label and the action it needs, in the order of the menu.
_MENU = (
    ("week", "Week", Action.SEE_WEEK),
    ("job-list", "Jobs", Action.SEE_JOB),
    ("readiness", "Readiness", Action.SEE_READINESS),
    ("import", "Import", Action.IMPORT_JOBS),
    ("crew-days", "Crew days", Action.SEE_CREW_DAY),
)


def page_frame(request: HttpRequest) -> dict[str, Any]:
    """Return the menu entries that the person may open."""
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return {"menu": ()}
    return {"menu": [(name, label) for name, label, action in _MENU if may(person, action)]}
