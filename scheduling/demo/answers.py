"""What the invented superintendents and the office have said so far: every state of readiness."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db.models import QuerySet

from contractor.events import Actor
from contractor.models import Event, User
from contractor.workdays import WorkCalendar
from jobs.charges.services import condition_take_over
from jobs.conditions.states import OWED, PROMISED, REPORTED_DONE, SEEN_DONE, WAIVED, Grounds
from jobs.estimating.taken_over import Taken
from jobs.models import Condition, Job
from jobs.readiness.services.condition import condition_move

Tell = Callable[[Condition, date], None]
CHASES = "chases_capped"
# Come only after our own walls and slopes: nobody can have answered for them yet.
AFTER_US = ("insulation_inspection", "ceiling_board")


class Answers:
    """Walks over the jobs and gives each a story, the same each time."""

    def __init__(
        self, *, lead: User, office: User, calendar: WorkCalendar, now: datetime, today: date
    ) -> None:
        self.lead = Actor.of_user(lead, Event.Source.PHONE)
        self.office = Actor.of_user(office)
        self.calendar = calendar
        self.now = now
        self.today = today

    def tell(self) -> None:
        """Let builders and office answer for the conditions of every open job."""
        stories: tuple[Tell, ...] = (
            self._all_seen,
            self._all_reported,
            self._promised_on_the_day,
            self._nothing_said,
            self._one_slips,
            self._sent_back,
            self._waived_or_taken_over,
        )
        for number, job in enumerate(Job.objects.open().order_by("pk")):
            for condition in _asked(job):
                stories[number % len(stories)](condition, job.ready_date or self.today)

    def _move(self, condition: Condition, to_state: str, actor: Actor, grounds: Grounds) -> None:
        condition_move(
            condition_id=condition.pk,
            version=condition.version,
            to_state=to_state,
            grounds=grounds,
            actor=actor,
            now=self.now,
        )
        condition.refresh_from_db()

    def _builder(self, condition: Condition) -> Actor:
        person = condition.job.site.superintendent
        return Actor(who=str(person), source=Event.Source.LINK)

    def _all_seen(self, condition: Condition, ready: date) -> None:
        """Report all, then have a lead of ours there to see it; a stop only with its paper."""
        if ready > self.today + timedelta(days=9):
            return
        self._move(condition, REPORTED_DONE, self._builder(condition), Grounds())
        self._move(
            condition,
            SEEN_DONE,
            self.lead,
            Grounds(name="Saul Ridge", document="paper no. 17 in the job folder"),
        )

    def _all_reported(self, condition: Condition, ready: date) -> None:
        if ready <= self.today + timedelta(days=5):
            self._move(condition, REPORTED_DONE, self._builder(condition), Grounds())

    def _promised_on_the_day(self, condition: Condition, ready: date) -> None:
        day = self.calendar.on_or_after(max(ready, self.today))
        self._move(condition, PROMISED, self._builder(condition), Grounds(day=day))

    def _nothing_said(self, condition: Condition, ready: date) -> None:
        """Say nothing: only the ready date of the sheet stands for these."""

    def _one_slips(self, condition: Condition, ready: date) -> None:
        """Let the first condition of the house come three days after the ready date."""
        if condition == _asked(condition.job).first():
            day = self.calendar.on_or_after(max(ready, self.today) + timedelta(days=3))
            self._move(condition, PROMISED, self._builder(condition), Grounds(day=day))

    def _sent_back(self, condition: Condition, ready: date) -> None:
        """Report one thing done and then find it open."""
        self._all_reported(condition, ready)
        if condition.state == REPORTED_DONE and condition.code == CHASES:
            reason = "Chase over the pantry is still open."
            self._move(condition, OWED, self.office, Grounds(name="Omar Bell", reason=reason))

    def _take_over(self, condition: Condition) -> None:
        """Have the office cap the chase, past one flue."""
        condition_take_over(
            condition_id=condition.pk,
            version=condition.version,
            taken=Taken("chase", Decimal(14), flues=1),
            agreed_by="Walt Penny, by phone",
            note="chase over the bath",
            inspect_again=True,
            actor=self.office,
            now=self.now,
        )

    def _waived_or_taken_over(self, condition: Condition, ready: date) -> None:
        if condition.code == CHASES:
            self._take_over(condition)
        elif condition.code == "windows_doors_in":
            reason = "Two windows are boarded up; dry and closed enough for batts."
            self._move(condition, WAIVED, self.office, Grounds(name="Omar Bell", reason=reason))
        else:
            self._all_reported(condition, ready)


def _asked(job: Job) -> QuerySet[Condition]:
    """Return what others owe before our first step."""
    found = job.conditions.exclude(owed_by="us").exclude(gate="close")
    if job.steps.filter(lag_days__gt=0).exists() or job.steps.filter(kind="batt").exists():
        return found.exclude(code__in=AFTER_US)
    return found
