"""How planning runs are done in the background; the row is the truth, all else only a doorbell."""

from scheduling.runs.bell import doorbell, runs_ring_again
from scheduling.runs.lease import runs_settle

__all__ = ["doorbell", "runs_ring_again", "runs_settle"]
