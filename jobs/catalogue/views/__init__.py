"""Pages of the catalogue."""
