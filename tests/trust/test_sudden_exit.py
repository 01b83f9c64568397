"""A process that ends at once, at any statement of a service, leaves all of a change or none."""

import pytest

from tests.trust.disk import Disk, Figure, disk, figure
from tests.trust.sudden_exit import spread, total

__all__ = ["disk", "figure"]
MOST_POINTS = 24
SERVICES = (
    "condition_move",
    "checklist_answer",
    "stop_move",
    "run_accept",
    "week_post",
    "import_apply",
)


@pytest.mark.sqlite_only
def test_a_sudden_end_leaves_all_or_nothing(disk: Disk, figure: Figure) -> None:
    found = disk.call("tests.trust.sudden_exit", str(MOST_POINTS), *SERVICES)
    for name, exits in found.items():
        figure(
            f"sudden ends of {name}", f"{exits['points']} points, {exits['statements']} statements"
        )
    figure("points", total(list(found.values()), "points"))
    figure("half-done states", sum(len(exits["half_done"]) for exits in found.values()))
    assert [exits["half_done"] for exits in found.values()] == [[]] * len(SERVICES)
    assert [exits["lost"] for exits in found.values()] == [[]] * len(SERVICES)
    assert total(list(found.values()), "points") >= 10 * len(SERVICES)


def test_points_are_spread_from_the_first_statement_to_the_last() -> None:
    assert spread(5, 24) == [1, 2, 3, 4, 5]
    assert spread(100, 4) == [1, 34, 67, 100]
