"""Searches: plans in the making, made better round by round; proves nothing."""
