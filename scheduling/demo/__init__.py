"""The invented company that `manage.py demo` shows: nothing in it is real."""
