"""The company and the Django project: the ground floor, which knows nothing of the floors above."""
