"""The Django app `jobs`; fills its catalogue of conditions once the tables are there."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate

from jobs.catalogue.seeding import catalogue_seed


class JobsConfig(AppConfig):
    name = "jobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Seed the catalogue after migrations of this app."""
        post_migrate.connect(catalogue_seed, sender=self, dispatch_uid="jobs.catalogue.seeding")
