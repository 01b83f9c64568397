"""The Django app `jobs`; fills its catalogue of conditions, and the port of rates below."""

from django.apps import AppConfig
from django.db.models.signals import post_migrate

from jobs.catalogue.seeding import catalogue_seed


class JobsConfig(AppConfig):
    name = "jobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Seed the catalogue after migrations of this app; answer what the floor below asks."""
        post_migrate.connect(catalogue_seed, sender=self, dispatch_uid="jobs.catalogue.seeding")
        # Models are ready only now, so that services can be imported.
        from contractor.ports import RATES_CHANGED
        from jobs.estimates.services.reprice import thing_reprice

        RATES_CHANGED.fill(thing_reprice)
