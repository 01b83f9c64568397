"""What each kind of space gives: its steps, doubts and markers; one module for each kind."""
