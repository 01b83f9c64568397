"""What must be true before a step may start; pure: no Django, no clock, no database."""
