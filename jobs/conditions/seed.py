"""The catalogue that a new contractor starts with, in the order of the work. Data only."""

from jobs.conditions.seed_attic import ATTIC
from jobs.conditions.seed_house import HOUSE
from jobs.conditions.seed_old import OLD_HOUSE, PAPERS

SEED = (*HOUSE, *ATTIC, *OLD_HOUSE, *PAPERS)
ENTRIES = {entry.code: entry for entry in SEED}
