"""Pages of jobs: the list, one job, a new one, and what is posted there."""
