"""Template filters of `jobs`; know no row."""
