"""Visits of a job: set-up once for each, the drive as worked time; knows no space's measures."""

from fractions import Fraction

from jobs.estimating import defaults
from jobs.estimating.estimated import VisitEstimate
from jobs.estimating.exact import plain
from jobs.estimating.labour import Minutes
from jobs.estimating.means import Means
from jobs.estimating.reading import Node, limits, note
from jobs.estimating.steps import StepReckoned

MAIN = "main"
EARLY = "early"


class Visits:
    """The visits that the spaces ask for; a space is of the main one unless it says otherwise."""

    def __init__(self, node: Node, means: Means) -> None:
        minutes = limits(0, 10_000, zero=True)
        self._people = means.people
        self._node = node
        self._setup = node.rate("setup_person_minutes", defaults.SETUP_BLOW, minutes)
        self._drive = node.maybe("drive_minutes", "min", minutes) or Fraction(0)
        self._blows: dict[str, bool] = {}
        self._work: dict[str, Fraction] = {}

    def of(self, space: Node) -> str:
        """Return the visit of a space: its `visit`, or the early one where `early` is true."""
        return space.text("visit") or (EARLY if space.flag("early") else MAIN)

    def add(self, visit: str, step: StepReckoned, minutes: Minutes) -> None:
        """Count a step to its visit."""
        self._blows[visit] = self._blows.get(visit, False) or bool(step.blow_minutes)
        self._work[visit] = self._work.get(visit, Fraction(0)) + minutes.persons

    def setup(self, visit: str) -> Fraction:
        """Return person-minutes of set-up, hose run and clean-up: less where nothing is blown."""
        if not self._setup.default:
            return self._setup.value
        default = defaults.SETUP_BLOW if self._blows.get(visit) else defaults.SETUP_HAND
        rate = default.rate(self._setup.path)
        note(self._node.assumed, rate.path, plain(rate.value), rate.unit, rate.source)
        return rate.value

    @property
    def setup_person_minutes(self) -> Fraction:
        """Set-up of all visits."""
        return sum((self.setup(visit) for visit in self._work), Fraction(0))

    @property
    def drive_person_minutes(self) -> Fraction:
        """Driving is hours worked for all who ride (29 CFR 785.38, 785.41)."""
        return self._drive * self._people * len(self._work)

    @property
    def main_setup_person_minutes(self) -> Fraction:
        """Set-up of the main visit, or of the only one."""
        first = MAIN if MAIN in self._work or not self._work else next(iter(self._work))
        return self.setup(first)

    def estimated(self) -> tuple[VisitEstimate, ...]:
        """Return the visits as the estimate passes them on."""
        return tuple(
            VisitEstimate(
                name=name,
                setup_person_minutes=plain(self.setup(name)),
                person_minutes=plain(work),
                drive_minutes=plain(self._drive),
            )
            for name, work in self._work.items()
        )
