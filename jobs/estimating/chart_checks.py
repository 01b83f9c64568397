"""Checks of whole charts as they are entered: rows, the law's list of R, order, dates."""

from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction
from itertools import pairwise

from jobs.estimating.charts import (
    LABEL_R_VALUES,
    LABEL_SOURCE,
    SELF_SOURCE,
    CavityRow,
    ChartRow,
    read_cavity_row,
    read_row,
    row_faults,
)
from jobs.estimating.exact import NotANumber, exact, spoken
from jobs.estimating.reading import Node, TakeoffError

Finding = dict[str, object]
Rows = Sequence[Mapping[str, object]]


def check_chart(
    rows: Rows,
    *,
    bag_lb: object = None,
    settle: object = None,
    settled_lb_per_ft3: object = None,
) -> list[Finding]:
    """Return what is doubtful in a loose-fill chart, each as {"row", "code", "text", "source"}.

    `rows` as in a takeoff; `row` is the index, or None where the whole chart is meant. Codes:
    `chart_row` (columns that disagree by more than 2 %), `chart_order` (a higher R with less
    depth or weight), `chart_label_r` (an R of 16 CFR 460.12 that is missing), `chart_twice`.
    Raises TakeoffError with a path like "chart[2].r" where a row cannot be read.
    """
    read = [read_row(node) for node in Node({"chart": list(rows)}, "", {}).children("chart")]
    bag, share = _number(bag_lb, "bag_lb"), _number(settle, "settle")
    density = _number(settled_lb_per_ft3, "settled_lb_per_ft3")
    findings = [
        _finding(index, "chart_row", fault, SELF_SOURCE)
        for index, row in enumerate(read)
        for fault in row_faults(row, bag, share, density)
    ]
    return [*findings, *_order(read, bag), *_label(read)]


def check_cavity_chart(rows: Rows) -> list[Finding]:
    """Return what is doubtful in a cavity chart: a deeper cavity of equal density with less R."""
    nodes = Node({"cavity_chart": list(rows)}, "", {}).children("cavity_chart")
    read = [read_cavity_row(node) for node in nodes]
    return [
        _finding(index, "chart_order", _cavity_text(row, other), SELF_SOURCE)
        for index, row in enumerate(read)
        for other in read
        if other.lb_per_ft3 == row.lb_per_ft3 and other.depth_in < row.depth_in and other.r > row.r
    ]


def dates_fault(valid_from: str, valid_to: str, on: str) -> str:
    """Tell why a chart does not hold on a day (all ISO dates, empty = open); "" where it does.

    Raises ValueError where a date is none.
    """
    first, last = (date.fromisoformat(text) if text else None for text in (valid_from, valid_to))
    day = date.fromisoformat(on) if on else None
    if first and last and last < first:
        return f"the chart ends on {last} before it begins on {first}"
    if day and first and day < first:
        return f"the chart holds from {first} on, not yet on {day}"
    if day and last and day > last:
        return f"the chart held until {last}, no longer on {day}"
    return ""


def _number(value: object, name: str) -> Fraction | None:
    if value is None:
        return None
    try:
        return exact(value)
    except NotANumber as error:
        raise TakeoffError(name, error.sentence) from None


def _finding(row: int | None, code: str, text: str, source: str) -> Finding:
    return {"row": row, "code": code, "text": text, "source": source}


def _order(rows: Sequence[ChartRow], bag_lb: Fraction | None) -> list[Finding]:
    ranked = sorted(enumerate(rows), key=lambda pair: pair[1].r)
    findings = []
    for (_, low), (index, high) in pairwise(ranked):
        if high.r == low.r:
            text = f"R-{spoken(high.r)} stands twice"
            findings.append(_finding(index, "chart_twice", text, SELF_SOURCE))
        else:
            findings += [
                _finding(index, "chart_order", text, SELF_SOURCE)
                for text in _falls(low, high, bag_lb)
            ]
    return findings


def _falls(low: ChartRow, high: ChartRow, bag_lb: Fraction | None) -> list[str]:
    pairs = {
        "initial in": (low.initial_in, high.initial_in),
        "settled in": (low.settled_in, high.settled_in),
        "weight": (_weight(low, bag_lb), _weight(high, bag_lb)),
    }
    return [
        f"R-{spoken(high.r)} has less {name} than R-{spoken(low.r)}"
        for name, (one, other) in pairs.items()
        if one is not None and other is not None and other < one
    ]


def _weight(row: ChartRow, bag_lb: Fraction | None) -> Fraction | None:
    return row.stated_lb_per_ft2 if bag_lb is None else row.lb_per_ft2(bag_lb)


def _label(rows: Sequence[ChartRow]) -> list[Finding]:
    have = {row.r for row in rows}
    missing = [r for r in LABEL_R_VALUES if r not in have]
    if not missing:
        return []
    names = ", ".join(f"R-{r}" for r in missing)
    text = f"A label lists R-13, 19, 22, 30, 38 and 49; {names} is not in the chart"
    return [_finding(None, "chart_label_r", text, LABEL_SOURCE)]


def _cavity_text(row: CavityRow, other: CavityRow) -> str:
    return (
        f"{spoken(row.depth_in)} in has R-{spoken(row.r)}, less than {spoken(other.depth_in)} in"
        f" with R-{spoken(other.r)} at the same density"
    )
