"""What pages at the desk share; no page of its own."""
