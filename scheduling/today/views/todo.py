"""What to do next on the Today page: each in words with where to click; decides no order."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _

from jobs.wording import duration
from scheduling.arrivals.queries.windows import recipients_of
from scheduling.models import Fact
from scheduling.progress.todo import Need, Todo
from scheduling.today.queries.today import CrewToday, Today
from scheduling.today.views.acts import Acts, Press
from scheduling.today.views.words import (
    Clock,
    due_words,
    house,
    kept_words,
    last_word_text,
    phone_words,
    step_words,
)

LINES = {
    Need.TURNED_AWAY: "hatched",
    Need.NOT_TRUE: "hatched",
    Need.NOT_HEARD: "dashed",
    Need.WINDOW_SOON: "dashed",
    Need.WINDOW: "dashed",
    Need.UNTOLD: "dashed",
    Need.LATE_HOME: "dashed",
}


@dataclass(frozen=True)
class Way:
    """Somewhere to click: a page, a place here or a telephone number; empty: just words."""

    label: str
    address: str


@dataclass(frozen=True)
class TodoPresenter:
    """One thing to do: what it is, why, and where to click; `name` keeps the focus on it."""

    todo: Todo
    name: str
    headline: str
    reason: str
    ways: tuple[Way, ...]
    presses: tuple[Press, ...]

    @property
    def line(self) -> str:
        """Hatched where a crew stands idle, dashed where something will not be kept."""
        return LINES.get(self.todo.need, "solid")


@dataclass(frozen=True)
class TodoTeller:
    """Says what is to be done about the crews of a day; without `acts` nothing can be pressed."""

    today: Today
    clock: Clock
    acts: Acts | None

    def presenters(self) -> list[TodoPresenter]:
        """Return all of it, in its order."""
        return [self._shown(todo) for todo in self.today.todos]

    def _shown(self, todo: Todo) -> TodoPresenter:
        crew = self.crews[todo.crew]
        headline, reason = WORDS[todo.need](self, todo, crew)
        ident = todo.fact or todo.phone or todo.job or ""
        name = f"todo-{todo.need}-{todo.crew}-{ident}{todo.step}{todo.figure}"
        ways = tuple(way for way in WAYS[todo.need](self, todo, crew) if way is not None)
        presses = self.acts.of(todo) if self.acts else ()
        return TodoPresenter(todo, name, headline, reason, ways, presses)

    @property
    def crews(self) -> Mapping[int, CrewToday]:
        """The crews of the day."""
        return {one.crew.pk: one for one in self.today.crews}

    def names(self, todo: Todo, crew: CrewToday) -> dict[str, str]:
        """Return what the sentences name."""
        return {
            "crew": crew.crew.name,
            "house": house(self.today.jobs, todo.job),
            "at": self.clock.at(todo.at),
            "step": step_words(todo.step),
            "time": duration(todo.minutes),
        }

    def fact(self, todo: Todo, crew: CrewToday) -> Fact:
        """Return the fact that it is about."""
        return next(fact for fact in crew.status.facts if str(fact.pk) == todo.fact)


Advice = tuple[str, str]


def _turned_away(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Advice:
    said = _("%(crew)s was turned away at %(house)s at %(at)s") % tell.names(todo, crew)
    return said, tell.fact(todo, crew).figures.get("why", "")


def _proposal(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Advice:
    said = _("A plan for the rest of %(crew)s's day waits for a decision") % tell.names(todo, crew)
    return said, _("Nothing changes until somebody accepts it.")


def _not_true(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Advice:
    said = _("%(crew)s cannot start %(step)s at %(house)s") % tell.names(todo, crew)
    why = _("Something was found not true at %(at)s, and the crew has not been turned away.")
    return said, why % tell.names(todo, crew)


def _not_heard(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Advice:
    assert todo.due is not None  # noqa: S101
    due = due_words(todo.due, tell.today.jobs, tell.clock)
    said = _("Not heard from %(crew)s: %(due)s") % {"crew": crew.crew.name, "due": due}
    maybe = _("It may be at work without signal.")
    return said, f"{last_word_text(crew, tell.clock)} {maybe}"


def _window(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Advice:
    told = crew.now.told.get(todo.job or 0)
    names = tell.names(todo, crew) | {
        "told": tell.clock.window(told),
        "at": tell.clock.at(todo.arrive_at),
    }
    said = _("%(crew)s will not keep the time told for %(house)s") % names
    return said, _("Told %(told)s, expected %(at)s.") % names


def _untold(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Advice:
    said = _("Nobody at %(house)s knows when %(crew)s comes") % tell.names(todo, crew)
    at = {"at": tell.clock.at(todo.arrive_at)}
    return said, _("Expected %(at)s. No mail reaches them: ring.") % at


def _late_home(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Advice:
    names = tell.names(todo, crew) | {"end": tell.clock.at(crew.now.expected.ends_at)}
    said = _("%(crew)s will be back %(time)s after the end of its overtime") % names
    return said, _("Expected at the yard %(end)s; overtime ends %(at)s.") % names


def _left_out(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Advice:
    said = _("What %(crew)s said at %(at)s changed nothing") % tell.names(todo, crew)
    return said, tell.fact(todo, crew).left_out


def _figure(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Advice:
    said = tell.fact(todo, crew).figures.get(todo.figure)
    stops = (*crew.progress.stops, *crew.progress.others)
    steps = (step for stop in stops if stop.job == todo.job for step in stop.steps)
    planned = next(step.planned for step in steps if step.kind == todo.step)
    assert planned is not None  # noqa: S101
    if todo.figure == "minutes":
        text = _("%(said)s min said, %(planned)s min planned.")
        plan: float = planned.minutes
    else:
        text = _("%(said)s bags said, %(planned)s bags planned.")
        plan = planned.bags or 0
    names = tell.names(todo, crew) | {"said": said, "planned": f"{plan:g}"}
    return _("Is it right? %(crew)s, %(step)s at %(house)s") % names, text % names


def _unsaid(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Advice:
    said = _("%(crew)s never said that it finished at %(house)s") % tell.names(todo, crew)
    return said, _("Ask for minutes and bags. %(heard)s") % {
        "heard": last_word_text(crew, tell.clock)
    }


def _unsent(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Advice:
    phone = next(phone for phone in crew.phones if phone.pk == todo.phone)
    names = {"crew": crew.crew.name, "kept": kept_words(phone)}
    said = _("%(crew)s: %(kept)s not sent from a phone") % names
    signal = _("They are sent by themselves where there is signal.")
    return said, f"{phone_words(phone, tell.clock)} {signal}"


WORDS: dict[Need, Callable[[TodoTeller, Todo, CrewToday], Advice]] = {
    Need.TURNED_AWAY: _turned_away,
    Need.NOT_TRUE: _not_true,
    Need.PROPOSAL: _proposal,
    Need.WINDOW_SOON: _window,
    Need.NOT_HEARD: _not_heard,
    Need.WINDOW: _window,
    Need.UNTOLD: _untold,
    Need.LATE_HOME: _late_home,
    Need.LEFT_OUT: _left_out,
    Need.FIGURE: _figure,
    Need.UNSAID: _unsaid,
    Need.UNSENT: _unsent,
}

Ways = tuple[Way | None, ...]


def _ring_lead(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Way | None:
    lead = crew.lead
    if lead is None or not lead.phone:
        return Way(_("No telephone number of the crew's lead is known"), "")
    named = {"name": lead.name, "phone": lead.phone}
    return Way(_("Ring %(name)s, %(phone)s") % named, f"tel:{lead.phone}")


def _ring_house(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Way | None:
    """Return the superintendent, or where none has a number whoever lives there."""
    job = tell.today.jobs.get(todo.job or 0)
    people = recipients_of(job) if job else ()
    person = next((one for one in people if one.phone), None)
    if person is None:
        return None
    return Way(_("Ring %(name)s, %(phone)s") % vars(person), f"tel:{person.phone}")


def _look_stop(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Way:
    return Way(_("Look at the stop"), f"#stop-{todo.crew}-{todo.job}")


def _look_crew(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Way:
    return Way(_("Look at the crew's day"), f"#crew-{todo.crew}")


def _look_job(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Way | None:
    if todo.job is None:
        return None
    return Way(_("Look at the house"), reverse("job", args=[todo.job]))


def _look_run(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Way | None:
    runs = [one.run for one in crew.aways if str(one.fact_id) == todo.fact]
    if not runs or runs[0] is None:
        return None
    return Way(_("Look at the proposal"), reverse("run", args=[runs[0].pk]))


def _correct(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Way | None:
    if tell.acts is None:
        return None
    return Way(_("Correct it, or keep it as it is"), reverse("fact-correct", args=[todo.fact]))


def _crew_page(tell: TodoTeller, todo: Todo, crew: CrewToday) -> Way:
    address = reverse("crew-day", args=[todo.crew, crew.page.date.isoformat()])
    return Way(_("Say it for the crew"), address)


def _each(*ways: Callable[[TodoTeller, Todo, CrewToday], Way | None]) -> Callable[..., Ways]:
    return lambda tell, todo, crew: tuple(way(tell, todo, crew) for way in ways)


WAYS: dict[Need, Callable[[TodoTeller, Todo, CrewToday], Ways]] = {
    Need.TURNED_AWAY: _each(_look_run, _ring_lead, _ring_house, _look_stop),
    Need.NOT_TRUE: _each(_ring_lead, _ring_house, _look_stop),
    Need.PROPOSAL: _each(_look_run, _look_stop),
    Need.WINDOW_SOON: _each(_ring_house, _look_stop),
    Need.NOT_HEARD: _each(_ring_lead, _look_crew),
    Need.WINDOW: _each(_ring_house, _look_stop),
    Need.UNTOLD: _each(_ring_house, _look_stop),
    Need.LATE_HOME: _each(_ring_lead, _look_crew),
    Need.LEFT_OUT: _each(_look_stop, _look_job),
    Need.FIGURE: _each(_correct, _ring_lead, _look_stop),
    Need.UNSAID: _each(_ring_lead, _crew_page),
    Need.UNSENT: _each(_ring_lead, _look_crew),
}
