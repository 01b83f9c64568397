"""What crews say: kept once, followed everywhere, set right by the office."""
