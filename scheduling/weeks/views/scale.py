"""Minutes to heights: time is height, one hour the same everywhere; must not know Django.

A page may carry no style of its own, so a height is a class: `m45` stands for 45 minutes and
sets one number in minutes.css, from which week.css makes the height (`manage.py write_heights`
writes that file). Heights come in steps of five minutes; what is lost by rounding one block is
given to the next, so that a whole day is never off by more than half a step.
"""

from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise

STEP_MINUTES = 5
LONGEST_MINUTES = 1440 + 600  # the longest day and overtime that a branch can set


def height_of(minutes: int) -> int:
    """Return the minutes to the nearest step, at most the longest day."""
    steps = (minutes + STEP_MINUTES // 2) // STEP_MINUTES
    return min(steps * STEP_MINUTES, LONGEST_MINUTES)


def heights_of(lengths: Sequence[int]) -> list[int]:
    """Return the height of each of the lengths standing on each other, in steps that add up."""
    ends = [0, *(height_of(end) for end in accumulate(lengths))]
    return [after - before for before, after in pairwise(ends)]


def style_text() -> str:
    """Return the text of minutes.css: one class for each height."""
    return "".join(f"{line}\n" for line in _style_lines())


def _style_lines() -> Iterator[str]:
    yield "/* Written by manage.py write_heights: m45 is a height of 45 minutes. */"
    for minutes in range(0, LONGEST_MINUTES + 1, STEP_MINUTES):
        yield f".m{minutes}{{--m:{minutes}}}"
