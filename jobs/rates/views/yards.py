"""About which branch a page of rates is asked; decides nothing else."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import Http404, HttpRequest
from django.urls import reverse

from contractor.access import scope_of
from contractor.models import Branch
from jobs.desk.who import person
from jobs.rates.queries import branches_of


@dataclass(frozen=True)
class Yard:
    """The branch that is asked about, and all that the person may ask about."""

    branch: Branch
    branches: tuple[Branch, ...]

    def address(self, name: str, **query: object) -> str:
        """Return the address of a page about this branch; empty filters are left out."""
        filters = {"branch": self.branch.pk if len(self.branches) > 1 else "", **query}
        text = urlencode({key: value for key, value in filters.items() if value})
        return reverse(name) + (f"?{text}" if text else "")


def yard_asked(request: HttpRequest) -> Yard:
    """Return the branch in the query string, else one's own, else the first; 404 for no other."""
    branches = tuple(branches_of(scope_of(request.user)))
    wanted = request.GET.get("branch") or str(person(request).branch_id or "")
    for branch in branches:
        if wanted in ("", str(branch.pk)):
            return Yard(branch, branches)
    raise Http404
