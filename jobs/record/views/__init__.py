"""Pages of builders' records and of findings."""
