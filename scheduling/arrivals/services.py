"""Tells builders and owners when a crew arrives, each window once; keeps what was told."""

import logging
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import translation
from django.utils.translation import gettext as _

from contractor.events import Actor, event_record
from contractor.models import Branch, Event, OutboxMail
from contractor.outbox.letters import Letter
from contractor.outbox.services.write import address_ensure, mail_write
from jobs.conditions.words import US
from jobs.models import Condition, Job
from scheduling.arrivals.queries.clock import PostedVisit, visits_on
from scheduling.arrivals.queries.windows import (
    Recipient,
    WindowDue,
    last_tellings,
    recipients_of,
    stopped_among,
    telling_window,
    windows_due,
)
from scheduling.arrivals.words import called_off_letter, window_letter
from scheduling.models import WindowTold
from scheduling.progress import Window
from scheduling.weeks.queries.planned import posted_days

TELLER = Actor(who="arrival times", source=Event.Source.COMMAND)
BOTH = frozenset(WindowTold.To.values)
WAITING = (Condition.State.OWED, Condition.State.PROMISED)
LONGEST = timedelta(hours=12)
log = logging.getLogger(__name__)


class WindowRefused(Exception):
    """A window that cannot be told; the text says why."""


@dataclass(frozen=True)
class TellingResult:
    """Who was told, and who could not be: these are to be rung."""

    told: tuple[WindowTold, ...]
    to_ring: tuple[Recipient, ...]


def windows_write(*, now: datetime) -> int:
    """Tell every branch's people what is due; return how many mails. One that fails keeps no other.

    Called in each round of the post, after the digests, which tell most superintendents.
    """
    if not settings.MAIL_ENABLED:
        return 0
    written = 0
    for branch in Branch.objects.order_by("pk"):
        for due in windows_due(branch, now):
            try:
                written += len(_due_tell(due, now))
            except WindowRefused as refused:
                log.info("house %s: %s", due.job_id, refused)
            except IntegrityError:
                log.info("somebody else told house %s of its crew", due.job_id)
            except Exception:
                log.exception("house %s was not told of its crew", due.job_id)
    return written


def _due_tell(due: WindowDue, now: datetime) -> Sequence[WindowTold]:
    if due.window is None:
        return window_call_off(
            job_id=due.job_id, day=due.day, to=due.to, actor=TELLER, now=now, after=due.after
        )
    done = window_tell(
        job_id=due.job_id,
        day=due.day,
        window=due.window,
        actor=TELLER,
        now=now,
        to={due.to},
        after=due.after,
    )
    return done.told


@transaction.atomic
def window_tell(
    *,
    job_id: int,
    day: date,
    window: Window,
    actor: Actor,
    now: datetime,
    to: Collection[str] = BOTH,
    after: int | None = None,
) -> TellingResult:
    """Mail superintendent and owner of a house when the crew arrives; keep what they were told.

    Who was told this very window last is told nothing more. after: the number of the telling that
    this one is to follow; where there is a later one by now, nothing is told. Raises
    WindowRefused where no posted week sends a crew that day, or for a window that is over, turned
    about or of another day.
    """
    visit = _visit_checked(job_id, day, window, now)
    job, told, to_ring = visit.job, [], []
    last = last_tellings(WindowTold.objects.filter(job=job, day=day))
    for recipient in recipients_of(job, stopped_among([job])):
        news = _News(recipient, job, day, last.get((job.pk, day, recipient.to)), window, visit)
        if recipient.to not in to or news.is_known or news.is_late(after):
            continue
        mail = news.mail(_window_letter(news, visit, window, now), window.to_at, actor, now)
        if mail is None:
            to_ring.append(recipient)
        else:
            told.append(news.keep(mail, actor, now))
    return TellingResult(tuple(told), tuple(to_ring))


@transaction.atomic
def window_rung(
    *, job_id: int, day: date, window: Window, to: str, actor: Actor, now: datetime
) -> WindowTold:
    """Keep that somebody was rung and told a window; raises WindowRefused as `window_tell` does."""
    visit = _visit_checked(job_id, day, window, now)
    recipient = next((r for r in recipients_of(visit.job) if r.to == to), None)
    if recipient is None or not recipient.phone:
        raise WindowRefused(_("There is nobody to ring for this house."))
    last = last_tellings(WindowTold.objects.filter(job=visit.job, day=day, to=to))
    before = last.get((job_id, day, to))
    return _News(recipient, visit.job, day, before, window, visit).keep(None, actor, now)


@transaction.atomic
def window_call_off(
    *, job_id: int, day: date, to: str, actor: Actor, now: datetime, after: int | None = None
) -> tuple[WindowTold, ...]:
    """Mail somebody that the crew he was told of does not come; nothing where he knows already.

    after: as in `window_tell`.
    """
    job = _job_held(job_id)
    before = last_tellings(WindowTold.objects.filter(job=job, day=day, to=to)).get(
        (job.pk, day, to)
    )
    recipients = recipients_of(job, stopped_among([job]))
    recipient = next((r for r in recipients if r.to == to and r.has_mail), None)
    if telling_window(before) is None or recipient is None or visits_on([job_id], day):
        return ()
    news = _News(recipient, job, day, before)
    if news.is_late(after):
        return ()
    coming = [other for other in posted_days([job_id]).get(job_id, ()) if other > day]
    with translation.override(recipient.language):
        letter = called_off_letter(to=recipient, job=job, day=day, others=coming)
    mail = news.mail(letter, _end_of(day, job.site.branch), actor, now)
    return (news.keep(mail, actor, now),) if mail else ()


def windows_keep(
    *, visits: Sequence[PostedVisit], mail: OutboxMail, to: str, actor: Actor, now: datetime
) -> None:
    """Keep that a mail told one recipient the windows of several houses; part of a transaction."""
    jobs = Job.objects.select_for_update(of=("self",), no_key=True)
    held = {job.pk: job for job in jobs.filter(pk__in=[v.job.pk for v in visits]).order_by("pk")}
    last = last_tellings(WindowTold.objects.filter(job__in=held, to=to))
    for visit in visits:
        before = last.get((visit.job.pk, visit.day, to))
        recipient = next((r for r in recipients_of(visit.job) if r.to == to), None)
        if recipient is None:
            continue
        news = _News(recipient, visit.job, visit.day, before, visit.window, visit)
        if not news.is_known:
            news.keep(mail, actor, now)


@dataclass(frozen=True)
class _News:
    """What one recipient is to be told of a house on a day; window None: that nobody comes."""

    recipient: Recipient
    job: Job
    day: date
    before: WindowTold | None
    window: Window | None = None
    visit: PostedVisit | None = None

    @property
    def number(self) -> int:
        """The how manieth telling it is."""
        return self.before.number + 1 if self.before else 1

    @property
    def is_known(self) -> bool:
        """Whether it is what the person was told last, by a mail that did not fail."""
        row = self.before
        return row is not None and not row.has_failed and telling_window(row) == self.window

    def is_late(self, after: int | None) -> bool:
        """Tell whether somebody told the person something newer than the caller knew of."""
        return after is not None and self.number != after + 1

    def mail(
        self, letter: Letter, expires_at: datetime, actor: Actor, now: datetime
    ) -> OutboxMail | None:
        """Put the mail in the outbox; None where none reaches the person."""
        address = address_ensure(self.recipient.email) if self.recipient.has_mail else None
        if address is None:
            return None
        return mail_write(
            key=f"window:{self.job.pk}:{self.day}:{self.recipient.to}:{self.number}",
            kind=OutboxMail.Kind.WINDOW,
            branch=self.job.site.branch,
            address=address,
            to_name=self.recipient.name,
            language=self.recipient.language,
            letter=letter,
            expires_at=expires_at,
            actor=actor,
            now=now,
        )

    def keep(self, mail: OutboxMail | None, actor: Actor, now: datetime) -> WindowTold:
        """Keep the row, and an event about the house with it."""
        branch, planned = self.job.site.branch, self.visit.window if self.visit else None
        row = WindowTold.objects.create(
            job=self.job,
            day=self.day,
            to=self.recipient.to,
            number=self.number,
            from_at=self.window.from_at if self.window else None,
            to_at=self.window.to_at if self.window else None,
            planned_from_at=planned.from_at if planned else None,
            planned_to_at=planned.to_at if planned else None,
            told_at=now,
            told_by=actor.user,
            who=actor.who[:120],
            to_name=self.recipient.name,
            reached=self.recipient.email if mail else self.recipient.phone,
            mail=mail,
        )
        what = {
            "day": self.day.isoformat(),
            "arrival": _in_figures(self.window, branch),
            "to": self.recipient.name,
        }
        event_record(actor=actor, now=now, verb="told", thing=self.job, branch=branch, what=what)
        return row


def _job_held(job_id: int) -> Job:
    """Let two who tell of one house at the same time come one after the other."""
    jobs = Job.objects.select_for_update(of=("self",), no_key=True)
    return jobs.select_related("site__branch", "site__superintendent").get(pk=job_id)


def _visit_checked(job_id: int, day: date, window: Window, now: datetime) -> PostedVisit:
    """Return the posted visit, its house held. Raises WindowRefused."""
    _job_held(job_id)
    visit = visits_on([job_id], day).get(job_id)
    if visit is None:
        raise WindowRefused(_("No posted week sends a crew to this house on that day."))
    zone = ZoneInfo(visit.branch.time_zone)
    if window.from_at.astimezone(zone).date() != day:
        raise WindowRefused(_("The window is not of that day."))
    if not window.from_at < window.to_at <= window.from_at + LONGEST:
        raise WindowRefused(_("A window ends after it begins, and within twelve hours."))
    if window.to_at <= now:
        raise WindowRefused(_("The window is over."))
    return visit


def _window_letter(news: _News, visit: PostedVisit, window: Window, now: datetime) -> Letter:
    owed = Condition.objects.filter(job=news.job, needed=True, state__in=WAITING)
    if news.recipient.to == WindowTold.To.OWNER:
        owed = owed.filter(owed_by="owner")
    zone = ZoneInfo(visit.branch.time_zone)
    with translation.override(news.recipient.language):
        return window_letter(
            to=news.recipient,
            visit=visit,
            window=Window(window.from_at.astimezone(zone), window.to_at.astimezone(zone)),
            was_told=news.before is not None,
            owed=[condition for condition in owed.exclude(owed_by=US) if condition.holds],
            now=now,
        )


def _in_figures(window: Window | None, branch: Branch) -> str:
    """Return the window as an event keeps it, by the clock on the wall."""
    if window is None:
        return "nobody comes"
    zone = ZoneInfo(branch.time_zone)
    first, last = (at.astimezone(zone) for at in (window.from_at, window.to_at))
    return f"{first:%H:%M}-{last:%H:%M}"


def _end_of(day: date, branch: Branch) -> datetime:
    return datetime.combine(day + timedelta(days=1), time(), tzinfo=ZoneInfo(branch.time_zone))
