"""Two crews turned away at once: each is told once, and none is forgotten by the planning."""

import pytest

from tests.trust.disk import Disk, Figure, disk, figure

__all__ = ["disk", "figure"]


@pytest.mark.sqlite_only
def test_both_are_told_once_and_planned_for(disk: Disk, figure: Figure) -> None:
    crowded = disk.call("tests.trust.away_crowd")
    figure("two crews turned away at once, each told three times", crowded)
    runs = crowded.pop("runs")
    assert runs in {1, 2}  # one answers both, or the second waited for the first
    assert crowded == {
        "refused": 0,
        "facts": 2,
        "told": 2,
        "mails": 2,
        "lost": 0,
        "runs_for_who_waited": True,
    }
