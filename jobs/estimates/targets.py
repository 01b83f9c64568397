"""What depth a blow is to have, by the chart's row that its estimate took; reckons nothing."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.estimating import space_read
from jobs.models import Space


@dataclass(frozen=True)
class DepthTarget:
    """The depth of one space as it is blown and once it has settled, in inches."""

    space: str
    initial_in: float
    settled_in: float | None


def depth_targets(spaces: Iterable[Space]) -> dict[str, list[DepthTarget]]:
    """Return the target depths of each kind of step that has any, by space."""
    found: dict[str, list[DepthTarget]] = {}
    for space in spaces:
        for step in space_read(space.estimate).steps:
            initial_in, settled_in = step.facts.get("initial_in"), step.facts.get("settled_in")
            if initial_in is not None:
                settled_in = settled_in and float(settled_in)
                target = DepthTarget(space.name, float(initial_in), settled_in)
                found.setdefault(step.kind, []).append(target)
    return found
