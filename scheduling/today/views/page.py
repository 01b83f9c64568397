"""A yard's day as the Today page shows it: rows and facts put into words; reads nothing."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from jobs.models import Job
from jobs.wording import number, word
from scheduling.models import Fact, TurnedAway
from scheduling.progress import StepProgress, StopProgress, StopState
from scheduling.progress.day import NOT_TRUE, TRUE, WE_DID_IT
from scheduling.progress.lateness import Arrival, CrewPlace
from scheduling.progress.todo import Proposal
from scheduling.today.queries.today import CrewToday, Today, proposal_of
from scheduling.today.views.words import (
    Clock,
    arrival_words,
    due_words,
    last_word_text,
    next_words,
    phone_words,
    stand_words,
    state_words,
    step_words,
    telling_words,
)
from scheduling.weeks.shapes import CrewStop

Kind = Fact.Kind
OWN_WORDS = ("text", "caption", "why", "reason", "note")
ANSWERS_TOLD = (NOT_TRUE, WE_DID_IT)


@dataclass(frozen=True)
class FactPresenter:
    """A fact in words: when, who, what; with its photo where it has come, and why it was left."""

    fact: Fact
    at: str
    words: str

    @property
    def photo_id(self) -> object:
        """The picture's id; None while it has not come."""
        picture = getattr(self.fact, "picture", None)
        return picture.photo_id if picture else None


@dataclass(frozen=True)
class TodayStep:
    """A step: minutes and bags as said against as planned; a dash where nothing was."""

    name: str
    stand: str
    minutes: str
    planned_minutes: str
    bags: str
    planned_bags: str
    rest: str
    fact: str


@dataclass(frozen=True)
class AwayPresenter:
    """A crew turned away: why, what was missing, where it goes, what became of the plan anew."""

    row: TurnedAway
    at: str
    why: str
    missing: tuple[str, ...]
    photos: tuple[FactPresenter, ...]
    next: str
    plan: str
    seen: str


@dataclass(frozen=True)
class TodayStop:
    """A visit of a crew's day, or a house that its facts name and its posted day does not hold.

    key: crew and house, for places on the page.
    """

    key: str
    job: Job
    stop: CrewStop | None
    progress: StopProgress
    planned: str
    arrival: Arrival | None
    arrive: str
    told: str
    tellings: tuple[str, ...]
    steps: tuple[TodayStep, ...]
    answers: tuple[FactPresenter, ...]
    photos: tuple[FactPresenter, ...]
    notes: tuple[FactPresenter, ...]
    left_out: tuple[FactPresenter, ...]
    aways: tuple[AwayPresenter, ...]

    @property
    def state(self) -> str:
        """How far it has come, in a word."""
        return state_words(self.progress.state)

    @property
    def line(self) -> str:
        """Solid as planned or done, dashed late, hatched turned away."""
        if self.progress.state == StopState.TURNED_AWAY:
            return "hatched"
        is_late = self.arrival is not None and (self.arrival.is_late or self.arrival.breaks_window)
        return "dashed" if is_late and not self.progress.has_ended else "solid"

    @property
    def more(self) -> int:
        """How many facts stand behind the line of the stop."""
        return sum(len(found) for found in (self.photos, self.notes))


@dataclass(frozen=True)
class CrewPresenter:
    """A crew's day in words."""

    crew: CrewToday
    stand: str
    due: str
    heard: str
    phones: tuple[str, ...]
    meal: str
    back: str
    planned_back: str
    stops: tuple[TodayStop, ...]
    others: tuple[TodayStop, ...]
    notes: tuple[FactPresenter, ...]

    @property
    def line(self) -> str:
        """Hatched for a crew that stands idle, dashed for one that is late or not heard from."""
        if self.crew.stand.place == CrewPlace.TURNED_AWAY:
            return "hatched"
        late = any(stop.line == "dashed" for stop in self.stops)
        return "dashed" if self.due or late else "solid"


@dataclass(frozen=True)
class Shower:
    """Puts the crews of a day into words."""

    today: Today
    clock: Clock

    def crews(self) -> list[CrewPresenter]:
        """Return every crew of the day."""
        return [self._crew(crew) for crew in self.today.crews]

    def strays(self) -> list[FactPresenter]:
        """Return facts of crews that have no posted day."""
        return [self.fact(fact) for fact in self.today.strays]

    @property
    def is_over(self) -> bool:
        """Whether the day has gone by."""
        return any(crew.now.is_over for crew in self.today.crews)

    def _crew(self, crew: CrewToday) -> CrewPresenter:
        times, jobs = crew.now.expected, self.today.jobs
        planned = {stop.job.pk: stop for stop in crew.page.stops}
        return CrewPresenter(
            crew=crew,
            stand=stand_words(crew, jobs, self.clock),
            due=due_words(crew.due, jobs, self.clock) if crew.due else "",
            heard=last_word_text(crew, self.clock),
            phones=tuple(phone_words(phone, self.clock) for phone in crew.phones),
            meal=self.clock.at(times.meal.starts_at) if times.meal else "",
            back=self.clock.at(times.ends_at),
            planned_back=self.clock.at(crew.page.times.ends_at),
            stops=tuple(self._stop(crew, one, planned[one.job]) for one in crew.progress.stops),
            others=tuple(self._stop(crew, one, None) for one in crew.progress.others),
            notes=self._facts(crew.status.facts, None, Kind.NOTE, Kind.PHOTO),
        )

    def _stop(self, crew: CrewToday, one: StopProgress, stop: CrewStop | None) -> TodayStop:
        facts, job = crew.status.facts, one.job
        arrival = crew.arrivals.get(job)
        of_away, telling = self._about_away(crew), self.today.tellings.get(job)
        return TodayStop(
            key=f"{crew.crew.pk}-{job}",
            job=self.today.jobs[job],
            stop=stop,
            progress=one,
            planned=self.clock.at(arrival.planned_at) if arrival else "–",
            arrival=arrival,
            arrive=self._arrive(crew, arrival, one),
            told=self.clock.window(arrival.window) if arrival else "",
            tellings=tuple(
                telling_words(row, self.clock) for row in (telling.last.values() if telling else ())
            ),
            steps=tuple(self._step(step) for step in one.steps),
            answers=self._facts(facts, job, Kind.CHECKED, only=_is_told),
            photos=self._facts(facts, job, Kind.PHOTO, only=lambda fact: fact.pk not in of_away),
            notes=self._facts(facts, job, Kind.NOTE),
            left_out=self._facts(facts, job, *Kind, only=lambda fact: bool(fact.left_out)),
            aways=tuple(self._away(crew, row) for row in crew.aways if row.fact.job_id == job),
        )

    def _arrive(self, crew: CrewToday, arrival: Arrival | None, one: StopProgress) -> str:
        if arrival is None:
            return (
                _("arrived %(at)s") % {"at": self.clock.at(one.arrived_at)}
                if one.arrived_at
                else ""
            )
        return arrival_words(
            arrival, self.clock, is_silent=crew.due is not None, is_over=crew.now.is_over
        )

    def _step(self, step: StepProgress) -> TodayStep:
        what = step.finished.what if step.finished else {}
        planned = step.planned
        if step.is_finished and step.finished:
            stand = _("finished %(at)s") % {"at": self.clock.at(step.finished.at)}
        elif step.started_at:
            stand = _("working since %(at)s") % {"at": self.clock.at(step.started_at)}
        else:
            stand = _("to come")
        return TodayStep(
            name=step_words(step.kind),
            stand=stand,
            minutes=_figure(what.get("minutes")),
            planned_minutes=_figure(planned.minutes if planned else None),
            bags=_figure(what.get("bags")),
            planned_bags=_figure(planned.bags if planned else None),
            fact=step.finished.id if step.finished else "",
            rest=_("some is left") if what and not what.get("whole", True) else "",
        )

    def _about_away(self, crew: CrewToday) -> set[object]:
        """Return the photos that show why a crew was turned away."""
        away = {str(row.fact_id) for row in crew.aways}
        return {fact.pk for fact in crew.status.facts if fact.what.get("about") in away}

    def _away(self, crew: CrewToday, row: TurnedAway) -> AwayPresenter:
        fact, about = row.fact, self._about_away(crew)
        what = fact.what
        seen = {"who": row.seen_who, "at": self.clock.at(row.seen_at)}
        return AwayPresenter(
            row=row,
            at=self.clock.at(fact.happened_at),
            why=str(what.get("why", "")),
            missing=tuple(_missing(crew, what.get("missing", ()))),
            photos=tuple(
                self.fact(one)
                for one in crew.status.facts
                if one.pk in about and one.what["about"] == str(fact.pk)
            ),
            next=next_words(crew.next_stop(fact.job_id or 0), self.today.jobs),
            plan=plan_words(row),
            seen=_("Seen by %(who)s, %(at)s.") % seen if row.seen_at else "",
        )

    def _facts(
        self,
        facts: Iterable[Fact],
        job: int | None,
        *kinds: str,
        only: Callable[[Fact], bool] = lambda fact: True,
    ) -> tuple[FactPresenter, ...]:
        found = (one for one in facts if one.job_id == job and one.kind in kinds and only(one))
        return tuple(self.fact(one) for one in found)

    def fact(self, fact: Fact) -> FactPresenter:
        """Return one fact in words."""
        return FactPresenter(fact, self.clock.at(fact.happened_at), fact_words(fact))


def fact_words(fact: Fact) -> str:
    """Return what a fact says, in a few words."""
    what = fact.figures
    own = str(
        what.get("text") or what.get("caption") or what.get("why") or what.get("reason") or ""
    )
    names = [
        word(fact.get_kind_display()),
        step_words(fact.step_kind) if fact.step_kind else "",
        word(fact.condition.name) if fact.condition else "",
        _answer(what.get("answer")),
        f"“{own}”" if own else "",
    ]
    return " · ".join(name for name in names if name)


def _figure(value: float | None) -> str:
    return "–" if value is None else number(value, 1)


def plan_words(row: TurnedAway) -> str:
    """Return what became of the plan of the rest of the day."""
    return {
        Proposal.NONE: _("A plan for the rest of the day has not been asked for yet."),
        Proposal.WORKING: _("A plan for the rest of the day is being worked out."),
        Proposal.WAITING: _("A plan for the rest of the day waits for a decision."),
        Proposal.DECIDED: _("The plan for the rest of the day has been decided on."),
        Proposal.FAILED: row.no_plan or _("No plan for the rest of the day came about."),
    }[proposal_of(row)]


def _answer(answer: object) -> str:
    if not answer:
        return ""
    return {TRUE: _("true"), NOT_TRUE: _("not true")}.get(str(answer), _("we did it"))


def _is_told(fact: Fact) -> bool:
    """Tell whether it is news: what was true as expected is none."""
    return fact.figures.get("answer") in ANSWERS_TOLD


def _missing(crew: CrewToday, ids: Iterable[object]) -> Iterable[str]:
    known = {
        condition.pk: condition.name for stop in crew.page.stops for condition in stop.conditions
    }
    return [word(known[one]) for one in ids if isinstance(one, int) and one in known]


def places(today: Today) -> Sequence[tuple[CrewPlace, int]]:
    """Tell how many crews are where, in the order of a day."""
    at = [crew.stand.place for crew in today.crews]
    return [(place, at.count(place)) for place in CrewPlace if place in at]
