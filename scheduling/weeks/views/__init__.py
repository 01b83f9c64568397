"""The pages of weeks."""
