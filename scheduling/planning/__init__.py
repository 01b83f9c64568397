"""The planner: which crew and machine does what on which day; knows no Django."""
