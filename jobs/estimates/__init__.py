"""From space rows to a takeoff, and from an estimate to steps."""
