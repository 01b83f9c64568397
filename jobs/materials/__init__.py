"""Materials with their charts and sizes."""
