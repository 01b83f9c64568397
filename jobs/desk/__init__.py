"""What the rooms of `jobs` share at the desk: who asks, refusals, filters, locks."""
