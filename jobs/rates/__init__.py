"""A branch's rates, what finished work teaches about them, and actuals."""
