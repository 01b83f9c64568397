"""Whether anything has changed on a yard's day since somebody looked; reads as little as it can."""

from datetime import date, datetime
from hashlib import sha256
from typing import Any

from django.db.models import Count, Max, Q, QuerySet, Subquery, Sum
from django.db.models.aggregates import Aggregate

from contractor.models import Branch, Phone
from scheduling.models import CrewDay, Fact, TurnedAway, WindowTold

# What is expected shifts with the clock even where nobody says anything.
ANEW_SECONDS = 120


def today_mark(*, branch: Branch, day: date, now: datetime) -> str:
    """Return a mark that differs when the day's page would; one statement, no row of the plan.

    What crews and phones said and what the office did about it shows at once, what else changed
    (a condition, a name) within two minutes.
    """
    facts = Fact.objects.filter(crew__branch=branch, day=day)
    phones = Phone.objects.filter(person__branch=branch, revoked_at=None)
    posted = CrewDay.objects.posted().filter(crew__branch=branch, date=day)
    aways = TurnedAway.objects.filter(branch=branch, day=day)
    told = WindowTold.objects.filter(job__site__branch=branch, day=day)
    columns = [
        *_figures(facts, "crew__branch", Count("pk"), Count("picture"), Max("received_at")),
        *_figures(facts, "crew__branch", Max("corrections__pk")),
        *_figures(phones, "person__branch", Count("pk"), Sum("unsent"), Sum("unsent_photos")),
        *_figures(phones, "person__branch", Max("reported_at")),
        *_figures(posted, "crew__branch", Max("pk")),
        *_figures(aways, "branch", Count("seen_at"), Max("seen_at"), Count("run")),
        *_figures(aways, "branch", Max("run__started_at"), Max("run__ended_at")),
        *_figures(aways, "branch", Max("run__decided_at"), Count("pk", filter=~Q(no_plan=""))),
        *_figures(told, "job__site__branch", Max("pk"), Count("pk", filter=Q(mail__state="dead"))),
    ]
    seen = Branch.objects.filter(pk=branch.pk).values_list(*columns).get()
    looked = (*seen, int(now.timestamp()) // ANEW_SECONDS)
    return sha256(repr(looked).encode()).hexdigest()[:16]


def _figures(rows: "QuerySet[Any]", of_branch: str, *figures: Aggregate) -> list[Subquery]:
    """Return each figure of some rows of one branch, as a statement within a statement."""
    grouped = rows.order_by().values(of_branch)
    return [Subquery(grouped.annotate(figure=figure).values("figure")) for figure in figures]
