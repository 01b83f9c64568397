"""The Today page."""
