"""Weeks: what stands where and why, changes by hand, posting."""
