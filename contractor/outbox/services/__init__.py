"""Writing mail, sending it and stopping it."""
