"""What the crew-day page shows of a stop, a step, a check, in words; decides nothing."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import time

from django.conf import settings
from django.utils.formats import time_format

from jobs.conditions.catalogue import CatalogueEntry
from jobs.houses.cautions import Caution
from jobs.models import Condition
from scheduling.arrivals.words import window_text
from scheduling.crew_days.views.phone_words import filled, phone_words
from scheduling.models import Fact
from scheduling.progress import ActionKind as Do
from scheduling.progress import StepProgress, StopProgress, StopState
from scheduling.progress.day import TRUE, ReadyHouse
from scheduling.weeks.shapes import CrewStop, StripPart

SETTLED = (Condition.State.SEEN_DONE, Condition.State.WAIVED)
BLOWN = frozenset({"flat_blow", "slope_blow", "dense_fill"})
# Depths are read where the fill lies open around its markers.
MARKED = frozenset({"flat_blow"})
DEPTH_BOXES = 6  # as many markers as fit a phone; more are typed with blanks between


def clock_words(at: time) -> str:
    """Return the time of day as the page writes it."""
    return time_format(at, "g:i a")


@dataclass(frozen=True)
class ToSee:
    """A condition as a crew meets it: its state in words, its line, and what may be answered.

    answer: what was said of it today, "" where nothing was.
    """

    condition: Condition
    entry: CatalogueEntry | None
    state_text: str
    line: str
    answers: tuple[str, ...]
    answer: str = ""

    @property
    def key(self) -> str:
        """Its id as a form posts it."""
        return str(self.condition.pk)

    @property
    def answer_words(self) -> str:
        """What was said of it today, in words."""
        return phone_words().get(f"answered_{self.answer}", "")

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

    @property
    def measure(self) -> str:
        """What the work of doing it ourselves is counted by."""
        return self.entry.measure if self.entry else ""


@dataclass(frozen=True)
class PhoneStep:
    """A step of today: what is planned, what was said of it, and what may be said next."""

    part: StripPart
    progress: StepProgress
    is_open: bool
    started: time | None
    ended: time | None
    minutes_so_far: int | None

    @property
    def state(self) -> str:
        """How far it has come."""
        if self.progress.is_finished:
            return "finished"
        return "working" if self.progress.is_working else "to_come"

    @property
    def said(self) -> Mapping[str, object]:
        """The figures of the report that counts."""
        return self.progress.finished.what if self.progress.finished else {}

    @property
    def words(self) -> str:
        """What was said of it, in words."""
        words, said = phone_words(), self.said
        if self.ended is None or not self.progress.is_finished:
            clock = "" if self.started is None else clock_words(self.started)
            return filled(words["step_started"], time=clock) if clock else ""
        told = filled(words["step_finished"], time=clock_words(self.ended), **said)
        bags = filled(words["step_bags"], **said) if said.get("bags") else ""
        left = "" if said.get("whole", True) else words["step_left"]
        return ", ".join(filter(None, (told, bags, left)))

    @property
    def depths(self) -> list[object]:
        """What stands in the boxes for depths; no box where no marker is set."""
        if self.part.kind not in MARKED:
            return []
        said = self.said.get("depths_in", [])
        depths = list(said) if isinstance(said, list) else []
        return [*depths, *[""] * (DEPTH_BOXES - len(depths))]


@dataclass(frozen=True)
class PhoneStop:
    """A stop with what was said of it, what to see first, and the house's cautions."""

    number: int
    stop: CrewStop
    progress: StopProgress
    ready: ReadyHouse
    since: time | None
    steps: tuple[PhoneStep, ...]
    to_see: tuple[ToSee, ...]
    seen: tuple[ToSee, ...]
    cautions: tuple[Caution, ...]
    left_out: tuple[str, ...]
    notes: tuple[Fact, ...]
    photos: int
    is_current: bool

    @property
    def name(self) -> str:
        """The house with its number, as the buttons say it."""
        return f"{self.number}. {self.stop.title}"

    @property
    def key(self) -> str:
        """Its house's id as a form posts it."""
        return str(self.progress.job)

    @property
    def stand(self) -> str:
        """How far it has come, in words."""
        clock = "" if self.since is None else clock_words(self.since)
        return filled(phone_words()[f"state_{self.progress.state}"], time=clock)

    @property
    def map_link(self) -> str:
        """Its place on an open map, in any browser."""
        place = {"latitude": self.stop.latitude, "longitude": self.stop.longitude}
        return filled(settings.MAP_URL, **place)

    @property
    def window(self) -> str:
        """From when to when the builder was told that the crew comes."""
        return window_text(self.stop.window)

    @property
    def uncleared(self) -> frozenset[str]:
        """The codes of conditions that nobody has seen done yet."""
        return frozenset(item.condition.code for item in self.to_see)

    @property
    def is_dense(self) -> bool:
        """Whether closed bays are filled, for which the hose wants its tube."""
        return any(step.part.kind == "dense_fill" for step in self.steps)

    @property
    def stops_open(self) -> int:
        """How many stop conditions nobody has seen done yet."""
        return sum(item.is_stop for item in self.to_see)

    @property
    def needs_the_office(self) -> bool:
        """Whether a stop is open that this person may not clear."""
        return any(item.is_stop and TRUE not in item.answers for item in self.to_see)

    @property
    def is_blown(self) -> bool:
        """Whether a machine and its hose are needed here."""
        return any(step.part.kind in BLOWN for step in self.steps)

    @property
    def is_ahead(self) -> bool:
        """Whether the crew has not set out for it."""
        return self.progress.state == StopState.TO_COME

    @property
    def is_away_from(self) -> bool:
        """Whether the crew has not said that it is there."""
        return self.progress.state in (StopState.TO_COME, StopState.ON_THE_WAY)

    @property
    def is_working(self) -> bool:
        """Whether a step has begun, so that the cautions have been read."""
        return self.progress.state in (StopState.WORKING, StopState.FINISHED)

    @property
    def is_turned_away(self) -> bool:
        """Whether the crew could not start."""
        return self.progress.state == StopState.TURNED_AWAY


@dataclass(frozen=True)
class MainAction:
    """The one thing to do next: a form's button, or a link to where it is done."""

    action: str
    label: str
    job: int | None = None
    step: str = ""
    anchor: str = ""

    @property
    def kind(self) -> str:
        """The kind of fact that its button says; empty where it is a link."""
        return {Do.SET_OUT: "set_out", Do.ARRIVED: "arrived", Do.START: "started"}.get(
            Do(self.action), ""
        )


@dataclass(frozen=True)
class NextPresenter:
    """Where a crew goes that was turned away; no stop where it should ring the office."""

    words: str
    away: PhoneStop
    stop: PhoneStop | None


@dataclass(frozen=True)
class PhoneDay:
    """The whole page: stops in driving order, what to do next, and what else was said."""

    stops: tuple[PhoneStop, ...]
    main: MainAction
    next: NextPresenter | None
    notes: tuple[Fact, ...]
    meal_start: time | None
    meal_end: time | None

    @property
    def is_blown(self) -> bool:
        """Whether a machine and its hose are needed today."""
        return any(stop.is_blown for stop in self.stops)

    @property
    def is_dense(self) -> bool:
        """Whether the hose wants its tube today."""
        return any(stop.is_dense for stop in self.stops)

    @property
    def has_begun(self) -> bool:
        """Whether the crew has left the yard."""
        return any(not stop.is_ahead for stop in self.stops)
