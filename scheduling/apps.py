"""The Django app `scheduling`; answers as it starts what the floors below ask of the plan."""

from django.apps import AppConfig


class SchedulingConfig(AppConfig):
    name = "scheduling"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Fill the ports of the floors below; models are ready only now, hence the imports here."""
        from contractor.ports import TURNED_AWAY_UNSEEN
        from jobs.plan_ports import LOST_TIME, PLANNED_DAYS, REPORTED_STEPS, STAKES
        from scheduling.facts.queries.lost_time import lost_time
        from scheduling.facts.queries.reported_steps import reported_steps
        from scheduling.turned_away.queries import turned_away_unseen
        from scheduling.weeks.queries.planned import planned_days
        from scheduling.weeks.queries.stakes import stakes

        PLANNED_DAYS.fill(planned_days)
        STAKES.fill(stakes)
        REPORTED_STEPS.fill(reported_steps)
        LOST_TIME.fill(lost_time)
        TURNED_AWAY_UNSEEN.fill(turned_away_unseen)
