"""What stands already of a sheet's things, and what an import would do."""
