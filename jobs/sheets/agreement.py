"""Whether the rows of a sheet agree about what they share; must not know the database."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from jobs.sheets.cells import Value
from jobs.sheets.errors import Expected, SheetError, quoted
from jobs.sheets.errors import marked as _
from jobs.sheets.rows import SheetRow

Key = tuple[str, ...]


@dataclass(frozen=True)
class _Shared:
    """Columns about which all rows with the same key must agree, wherever they say anything."""

    thing: str
    key: Callable[[SheetRow], Key | None]
    columns: tuple[str, ...]


def superintendent_key(row: SheetRow) -> Key | None:
    """Return builder and superintendent; None for a row that names none."""
    name = row.text("superintendent")
    return (row.text("builder"), name) if name else None


def site_key(row: SheetRow) -> Key:
    """Return branch, builder and site."""
    return (row.text("branch").lower(), row.text("builder"), row.text("site"))


def job_key(row: SheetRow) -> Key:
    """Return the site's key and the unit."""
    return (*site_key(row), row.text("unit"))


_SHARED = (
    _Shared(
        _("superintendent"), superintendent_key, ("superintendent_email", "superintendent_phone")
    ),
    _Shared(
        _("site"),
        site_key,
        ("latitude", "longitude", "address", "gate_note", "superintendent"),
    ),
    _Shared(
        _("job"),
        job_key,
        (
            "year_built",
            "ready_date",
            "promised_date",
            "owner_name",
            "owner_email",
            "owner_phone",
            "owner_language",
        ),
    ),
)


def disagreements(rows: Iterable[SheetRow]) -> list[SheetError]:
    """Return an error for each cell that contradicts an earlier row, and each space named twice."""
    found = list(rows)
    errors = [error for shared in _SHARED for error in _contradictions(shared, found)]
    return sorted([*errors, *_twice(found)], key=lambda error: (error.row, error.column))


def _contradictions(shared: _Shared, rows: list[SheetRow]) -> Iterator[SheetError]:
    first: dict[tuple[Key, str], tuple[int, Value]] = {}
    for row in rows:
        key = shared.key(row)
        for column in shared.columns if key is not None else ():
            value = row.values.get(column)
            if key is None or value is None:
                continue
            earlier_row, earlier = first.setdefault((key, column), (row.number, value))
            if earlier != value:
                yield _differs(row, column, value, earlier_row, earlier)


def _differs(
    row: SheetRow, column: str, value: Value, earlier_row: int, earlier: Value
) -> SheetError:
    wanted = Expected(
        _("expected %(earlier)s, as in row %(row)d"),
        {"earlier": quoted(earlier), "row": earlier_row},
    )
    return SheetError(row.number, column, quoted(value), wanted)


def _twice(rows: list[SheetRow]) -> Iterator[SheetError]:
    first: dict[Key, int] = {}
    for row in rows:
        key = (*job_key(row), row.text("space"))
        earlier = first.setdefault(key, row.number)
        if earlier != row.number:
            wanted = Expected(
                _("expected another name; row %(row)d is the same space of the same job"),
                {"row": earlier},
            )
            yield SheetError(row.number, "space", quoted(row.text("space")), wanted)
