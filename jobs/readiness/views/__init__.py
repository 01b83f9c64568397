"""Pages of readiness and what is posted about conditions."""
