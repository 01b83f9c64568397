"""Prints how long a thousand spaces take: `python -m tests.jobs.estimating.time_estimates`."""

import resource
import time
from typing import Any

from jobs.estimating import estimate_takeoff
from tests.jobs.estimating.takeoffs import ATTIC, BAFFLES, SEAL, SLOPE, WALL, takeoff

SPACES = 1000


def thousand() -> dict[str, Any]:
    """A takeoff of a thousand spaces of all kinds."""
    kinds = [ATTIC, SLOPE, WALL, SEAL, BAFFLES]
    spaces = [{**kinds[number % len(kinds)], "id": f"space {number}"} for number in range(SPACES)]
    return takeoff(*spaces)


def main() -> None:
    """Time three estimates and print each, with the most memory used."""
    house = thousand()
    for _ in range(3):
        start = time.perf_counter()
        estimate_takeoff(house)
        took = time.perf_counter() - start
        most_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(f"{SPACES} spaces in {took:.3f} s, at most {most_mb:.0f} MB")


if __name__ == "__main__":
    main()
