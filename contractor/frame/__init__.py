"""The frame of every page: sign-in, language, headers, the menu."""
