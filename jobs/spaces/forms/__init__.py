"""Forms of spaces, in the words of the trade."""
