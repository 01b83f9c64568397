"""Measures the planner: invented problems, a plain rule, a MIP, a table; solves nothing itself."""
