"""Forms of `jobs`: they read what was posted and say what is wrong; they write nothing."""
