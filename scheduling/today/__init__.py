"""A yard's day as it goes."""
