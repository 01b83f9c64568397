"""The crew's phone page: posted days, stop by stop, with what to see first; decides nothing."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from contractor.access import Action, may, require, scope_of
from contractor.events import Actor
from contractor.models import Event, User
from jobs.cautions import LAST_WORD, Caution, house_cautions
from jobs.conditions.catalogue import CatalogueEntry
from jobs.conditions.states import OWED, SEEN_DONE, TAKEN_OVER
from jobs.conditions_rows import entry_of
from jobs.models import Condition
from jobs.queries import local_date, moves_for
from jobs.views.moving import Refusal, answer_take, person, standing, state_line, today_of
from scheduling.queries import CrewDayPage, CrewStop, crew_day_page, crew_days_of

# What can be said on site: seen done, not true after all, we did it ourselves.
ON_SITE = (SEEN_DONE, OWED, TAKEN_OVER)
SETTLED = (Condition.State.SEEN_DONE, Condition.State.WAIVED)
TOLD_BEFORE = ("stop", "law", "block", "warn")


@dataclass(frozen=True)
class ToSee:
    """A condition as a crew meets it: its state in words, its line, and what may be answered."""

    condition: Condition
    entry: CatalogueEntry | None
    standing: str
    line: str
    moves: tuple[str, ...]

    @property
    def is_stop(self) -> bool:
        """Whether nobody starts before it is seen done."""
        return self.condition.gate == Condition.Gate.STOP

    @property
    def is_settled(self) -> bool:
        """Whether nothing is left to see about it."""
        return self.condition.state in SETTLED

    @property
    def document(self) -> str:
        """The paper that clears it; empty where none does."""
        return self.entry.document if self.entry and self.is_stop else ""


@dataclass(frozen=True)
class StopShown:
    """A stop with what to see first (what stops work before the rest), and the house's cautions."""

    stop: CrewStop
    to_see: tuple[ToSee, ...]
    seen: tuple[ToSee, ...]
    cautions: tuple[Caution, ...]

    @property
    def stops_open(self) -> int:
        """How many stop conditions nobody has seen done yet."""
        return sum(item.is_stop for item in self.to_see)


@require(Action.SEE_CREW_DAY)
@require_safe
def crew_days(request: HttpRequest) -> HttpResponse:
    """List the posted days to come: a lead's own, an office's crews'."""
    today = today_of(person(request), timezone.now())
    lines = crew_days_of(scope=scope_of(request.user), today=today)
    return render(request, "scheduling/crew_days.html", {"lines": lines, "today": today})


@require(Action.SEE_CREW_DAY)
@require_http_methods(["GET", "HEAD", "POST"])
def crew_day(request: HttpRequest, crew_id: int, day: str) -> HttpResponse:
    """Show one crew's posted day and take what the crew finds there."""
    page = _page_or_404(request, crew_id, day)
    if request.method == "POST":
        return _take(request, page)
    return render(request, "scheduling/crew_day.html", _context(request, page))


def _page_or_404(request: HttpRequest, crew_id: int, day: str) -> CrewDayPage:
    try:
        asked = date.fromisoformat(day)
    except ValueError as error:
        raise Http404 from error
    page = crew_day_page(scope=scope_of(request.user), crew_id=crew_id, day=asked)
    if page is None:
        raise Http404
    return page


def _take(request: HttpRequest, page: CrewDayPage) -> HttpResponse:
    user = person(request)
    condition = _condition_of(page, request.POST.get("condition", ""))
    if condition is None or not _may_answer(user):
        raise Http404
    now = timezone.now()
    refusal = answer_take(
        condition,
        request.POST,
        actor=Actor.of_user(user, _source(user)),
        now=now,
        today=local_date(page.branch, now),
        files=request.FILES,
    )
    if refusal:
        return _refused(request, page, condition, refusal)
    messages.success(request, _("Saved. The office sees it."))
    address = reverse("crew-day", args=[page.crew.pk, page.date.isoformat()])
    return redirect(f"{address}#condition-{condition.pk}")


def _refused(
    request: HttpRequest, page: CrewDayPage, condition: Condition, refusal: Refusal
) -> HttpResponse:
    """The page as it is now, with the reason on top and beside the condition."""
    fresh = _page_or_404(request, page.crew.pk, page.date.isoformat())
    context = _context(request, fresh)
    context |= {"problems": refusal.sentences, "problem_at": condition.pk}
    return render(request, "scheduling/crew_day.html", context, status=refusal.status)


def _condition_of(page: CrewDayPage, posted_id: str) -> Condition | None:
    """The condition of that id, if it is of a house of this day."""
    conditions = (condition for stop in page.stops for condition in stop.conditions)
    return next((found for found in conditions if str(found.pk) == posted_id), None)


def _may_answer(user: User) -> bool:
    """A lead answers for the own crew's days; of the others, who may move conditions at all."""
    return scope_of(user).crew_id is not None or may(user, Action.MOVE_CONDITION)


def _source(user: User) -> str:
    on_site = scope_of(user).crew_id is not None
    return Event.Source.PHONE if on_site else Event.Source.OFFICE


def _context(request: HttpRequest, page: CrewDayPage) -> dict[str, Any]:
    user = person(request)
    return {
        "page": page,
        "stops": [_stop_shown(stop, user) for stop in page.stops],
        "last_word": LAST_WORD,
    }


def _stop_shown(stop: CrewStop, user: User) -> StopShown:
    kinds = {part.kind for part in stop.parts}
    items = [_to_see(condition, user) for condition in _of_work(stop.conditions, kinds)]
    return StopShown(
        stop=stop,
        to_see=tuple(item for item in items if not item.is_settled),
        seen=tuple(item for item in items if item.is_settled),
        cautions=tuple(house_cautions(kinds, stop.job.year_built)),
    )


def _of_work(conditions: Iterable[Condition], kinds: set[str]) -> list[Condition]:
    """The conditions that today's work waits for, what stops it first; not what our steps do."""
    found = [
        condition
        for condition in conditions
        if kinds & set(condition.holds)
        and condition.gate in TOLD_BEFORE
        and not _is_our_own_step(condition)
    ]
    return sorted(found, key=lambda condition: TOLD_BEFORE.index(condition.gate))


def _is_our_own_step(condition: Condition) -> bool:
    """Whether a step of ours brings it about, so that the order of the steps sees to it."""
    entry = entry_of(condition)
    return condition.owed_by == "us" and entry is not None and bool(entry.follows)


def _to_see(condition: Condition, user: User) -> ToSee:
    moves = moves_for(condition, user) if _may_answer(user) else ()
    return ToSee(
        condition=condition,
        entry=entry_of(condition),
        standing=standing(condition),
        line=state_line(condition.state),
        moves=tuple(move for move in ON_SITE if move in moves),
    )
