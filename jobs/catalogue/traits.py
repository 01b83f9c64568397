"""What of a job's spaces decides about its conditions; knows no row of conditions."""

from collections.abc import Iterable

from jobs.estimating import space_read
from jobs.models import Space

# Warnings of the estimate that a condition of the catalogue asks for.
_FACT_OF_WARNING = {"board_load": "board_overloaded"}


def slope_covers(spaces: Iterable[Space]) -> set[str]:
    """Return the covers of the job's slopes, where they are said."""
    return {space.cover for space in spaces if space.kind == Space.Kind.SLOPE_BAYS and space.cover}


def facts_of(spaces: Iterable[Space]) -> set[str]:
    """Return the facts that the spaces' estimates make known."""
    codes = {w.code for space in spaces for w in space_read(space.estimate).warnings}
    return {fact for code, fact in _FACT_OF_WARNING.items() if code in codes}
