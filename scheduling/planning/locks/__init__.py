"""Locks: whether all that is fixed can be kept together; knows no cost."""
