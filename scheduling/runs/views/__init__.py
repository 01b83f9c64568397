"""Pages of planning runs."""
