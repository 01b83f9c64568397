"""The Django app `contractor`; only its name and label."""

from django.apps import AppConfig


class ContractorConfig(AppConfig):
    name = "contractor"
    default_auto_field = "django.db.models.BigAutoField"
