"""Commands of `jobs`."""
