"""The planner's own command line; knows no Django and loads a solver only to solve."""

from __future__ import annotations

import sys

from scheduling.planning.commands import main

sys.exit(main(sys.argv[1:]))
