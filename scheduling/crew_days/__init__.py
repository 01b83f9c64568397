"""The crew's day on the phone."""
