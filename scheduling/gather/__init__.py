"""The only reader of the planner: rows to problem, in a constant number of queries."""
