"""Pages of rates and actuals."""
