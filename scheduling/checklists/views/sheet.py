"""The printed checklist for the office that has just made a link; keeps nothing of its secret."""

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from contractor.access import Action, require, scope_of
from contractor.public import public_address
from jobs.checklists.queries import links_of
from jobs.conditions.words import PARTY_NAMES
from jobs.desk.views.refusal import state_text
from jobs.models import Condition
from jobs.wording import day_text, word
from scheduling.checklists.pdf import PaperSheet, SheetHouse, SheetItem, sheet_pdf
from scheduling.checklists.queries.checklist import ChecklistPage, HouseDue, checklist_page
from scheduling.checklists.views.checklist import PRIVATE

APART, TOGETHER = "apart", "together"
LONGEST_CODE = 12


@require(Action.SEND_CHECKLIST)
@require_POST
def checklist_sheet(request: HttpRequest) -> HttpResponse:
    """Print the list of the link whose secret is posted: all houses, each apart, or one."""
    page = checklist_page(request.POST.get("secret", ""), now=timezone.now())
    if page is None or not links_of(scope_of(request.user)).filter(pk=page.link.pk).exists():
        raise Http404
    houses = _houses(page, request.POST.get("houses", TOGETHER))
    asked = request.POST.get("language", "")
    known = asked in dict(settings.LANGUAGES)
    with translation.override(asked if known else page.link.superintendent.language):
        content = sheet_pdf(_sheet(request, page, houses))
    response = HttpResponse(content, content_type="application/pdf")
    response.headers["Content-Disposition"] = 'inline; filename="checklist.pdf"'
    for name, value in PRIVATE.items():
        response.headers[name] = value
    return response


def _houses(page: ChecklistPage, asked: str) -> tuple[HouseDue, ...]:
    """Return all houses or the one whose job is named; Http404 where it is not the link's own."""
    if asked in (APART, TOGETHER):
        return page.houses
    one = tuple(due for due in page.houses if str(due.job.pk) == asked)
    if not one:
        raise Http404
    return one


def _sheet(request: HttpRequest, page: ChecklistPage, houses: tuple[HouseDue, ...]) -> PaperSheet:
    secret, site = request.POST["secret"], public_address(request)
    link = page.link
    title = _("%(name)s: what your houses still owe us") % {"name": link.superintendent.name}
    return PaperSheet(
        title=title,
        office=" · ".join(part for part in (link.branch.name, link.branch.phone) if part),
        address=site + reverse("checklist", args=[secret]),
        code_at=(site + reverse("checklist-code")).partition("//")[2].rstrip("/"),
        code=request.POST.get("code", "")[:LONGEST_CODE],
        language=translation.get_language() or "en",
        made_on=day_text(page.today),
        houses=tuple(
            _house(due, site + reverse("checklist-house", args=[secret, due.job.pk]))
            for due in houses
        ),
        is_apart=request.POST.get("houses", TOGETHER) != TOGETHER,
    )


def _house(due: HouseDue, address: str) -> SheetHouse:
    return SheetHouse(
        name=str(due.job),
        when=f"{_coming(due)} {_count(due.open_count)}",
        items=tuple(_item(condition, due) for condition in due.conditions),
        address=address,
    )


def _coming(due: HouseDue) -> str:
    if due.coming:
        return _("Our crew comes %(day)s.") % {"day": day_text(due.coming)}
    if due.job.ready_date:
        words = _("No day for our crew yet. You said it would be ready %(day)s.")
        return words % {"day": day_text(due.job.ready_date)}
    return _("No day for our crew yet.")


def _count(n: int) -> str:
    if not n:
        return _("Nothing to answer.")
    return ngettext("%(n)s thing to answer.", "%(n)s things to answer.", n) % {"n": n}


def _item(condition: Condition, due: HouseDue) -> SheetItem:
    """Return who owes it, by when it must be there, and what stands with it."""
    by = due.coming or due.job.ready_date
    parts = (
        word(PARTY_NAMES.get(condition.owed_by, condition.owed_by)),
        _("needed before %(day)s") % {"day": day_text(by)} if by else "",
        state_text(condition),
    )
    return SheetItem(word(condition.name), " · ".join(part for part in parts if part))
