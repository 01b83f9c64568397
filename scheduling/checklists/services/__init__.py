"""Writes of digests."""
