"""Posting and discarding drafts of weeks; plans nothing."""

from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.db.models import Exists, OuterRef
from django.utils.translation import gettext

from contractor.events import Actor
from contractor.models import Branch
from contractor.workdays import IsoWeek
from jobs.models import Job
from jobs.shown import day_shown
from scheduling.gather.gathered import GatherError, gather
from scheduling.gather.rest import has_begun
from scheduling.models import Fact, Stop, Week, WeekVersion
from scheduling.planning.check import judge
from scheduling.weeks.services.drafts import DRAFT, POSTED, week_event, week_of, week_revise
from scheduling.weeks.services.refusals import GoneStop, PlanRefused, PostRefused

CLOSED_DAYS = 6  # the judge's rule that no step starts on a day on which its house is not ready


def week_post(
    *,
    actor: Actor,
    branch: Branch,
    week: IsoWeek,
    expected: int,
    now: datetime,
    today: date,
    all_the_same: bool = False,
) -> WeekVersion:
    """Make the week's draft what crews and builders see; what they saw before is kept as replaced.

    `expected` is the revision that the page showed. Raises WeekChanged when it has risen since,
    PlanRefused when there is no draft, PostRefused when facts have overtaken it: work on days on
    which a house is not ready is posted `all_the_same` where somebody says so, which is recorded;
    a draft that breaks any other rule is not, nor one that goes to a house that was called off,
    whose stops come with the refusal to be taken off.
    """
    with transaction.atomic():
        row = week_of(branch, week)
        week_revise(row, expected)
        draft = _draft(row)
        _refuse_gone(draft, today)
        closed = _not_ready(branch, week, today, now)
        if closed and not all_the_same:
            sentence = gettext("Houses are not ready on the days on which the draft goes there.")
            raise PostRefused(sentence, closed, may_insist=True)
        row.versions.filter(state=POSTED).update(state=WeekVersion.State.REPLACED)
        draft.state, draft.posted_at, draft.posted_by = POSTED, now, actor.user
        draft.save(update_fields=["state", "posted_at", "posted_by"])
        week_event(actor=actor, now=now, verb="posted", week=row, what=_posted(draft, closed))
    return draft


def _posted(draft: WeekVersion, closed: tuple[str, ...]) -> dict[str, Any]:
    return {"version": draft.pk} | ({"posted_all_the_same": list(closed)} if closed else {})


def _refuse_gone(draft: WeekVersion, today: date) -> None:
    """Raise PostRefused naming each house that was called off or finished since it was drafted.

    A house at which the crew of the draft was today is part of its day, whatever became of it.
    """
    said = Fact.objects.filter(crew=OuterRef("crew_day__crew"), day=today, job=OuterRef("job"))
    stops = (
        Stop.objects.filter(crew_day__version=draft, crew_day__date__gte=today)
        .exclude(job__state=Job.State.OPEN)
        .exclude(Exists(said), crew_day__date=today)
        .select_related("job__site", "crew_day__crew")
        .order_by("crew_day__date", "crew_day__crew__name", "position")
    )
    gone = tuple(GoneStop(stop.pk, _gone_words(stop)) for stop in stops)
    if gone:
        sentence = gettext("The draft goes to houses where nothing is to be done any more.")
        words = tuple(stop.words for stop in gone)
        raise PostRefused(sentence, words, may_insist=False, gone=gone)


def _gone_words(stop: Stop) -> str:
    words = gettext("%(house)s is %(state)s, and stands on %(day)s with %(crew)s")
    return words % {
        "house": str(stop.job),
        "state": gettext(stop.job.get_state_display()),
        "day": day_shown(stop.crew_day.date),
        "crew": stop.crew_day.crew.name,
    }


def _not_ready(branch: Branch, week: IsoWeek, today: date, now: datetime) -> tuple[str, ...]:
    """What the draft plans for days on which a house is not ready, in words.

    Raises PostRefused when it breaks any other rule. Days gone by are not judged. Of a day that
    has begun it is enough that what is left of it fits: a crew may be ahead of its minutes.
    """
    try:
        gathered = gather(branch=branch, first=week, weeks=1, today=today)
    except GatherError:
        return ()
    found = judge(gathered.problem, gathered.plan).violations
    if any(one.rule != CLOSED_DAYS for one in found) and has_begun(branch, today):
        gathered = gather(branch=branch, first=week, weeks=1, today=today, rest_at=now)
        found = judge(gathered.problem, gathered.plan).violations
    broken = [gathered.names.sentence(one.finding) for one in found if one.rule != CLOSED_DAYS]
    if broken:
        sentence = gettext("The draft breaks rules by now. Move or take off what stands here.")
        raise PostRefused(sentence, tuple(dict.fromkeys(broken)), may_insist=False)
    return tuple(gathered.names.sentence(one.finding) for one in found)


def draft_discard(
    *, actor: Actor, branch: Branch, week: IsoWeek, expected: int, now: datetime
) -> None:
    """Throw the week's draft away; what is posted counts again.

    Raises WeekChanged when the revision is not the expected one, PlanRefused without a draft.
    """
    with transaction.atomic():
        row = week_of(branch, week)
        week_revise(row, expected)
        _draft(row).delete()
        week_event(actor=actor, now=now, verb="draft discarded", week=row)


def _draft(week: Week) -> WeekVersion:
    draft = week.versions.filter(state=DRAFT).first()
    if draft is None:
        raise PlanRefused(f"Week {week.label} has no draft.")
    return draft
