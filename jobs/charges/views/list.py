"""The page of back-charges by builder and month, and their sheet; decides nothing."""

from urllib.parse import urlencode

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from contractor.access import Action, require, scope_of
from jobs.charges.queries import ChargeFilter, back_charges, charge_sums, charged_builders
from jobs.charges.sheet import back_charges_xlsx

CHARGES_ON_A_PAGE = 100
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require(Action.MOVE_CONDITION)
@require_safe
def back_charges_page(request: HttpRequest) -> HttpResponse:
    """Show the back-charges that the query string asks for, with sums by builder and month."""
    asked, scope = ChargeFilter.read(request.GET), scope_of(request.user)
    charges = list(back_charges(scope, asked))
    sums = charge_sums(charges)
    context = {
        "asked": asked,
        "query": _query(asked),
        "page": Paginator(charges, CHARGES_ON_A_PAGE).get_page(request.GET.get("page")),
        "sums": sums,
        "whole_cents": sum(one.cents for one in sums),
        "builders": charged_builders(scope),
    }
    return render(request, "jobs/charges/back_charges.html", context)


@require(Action.MOVE_CONDITION)
@require_safe
def back_charges_sheet(request: HttpRequest) -> HttpResponse:
    """Show the same back-charges as a workbook."""
    asked = ChargeFilter.read(request.GET)
    content = back_charges_xlsx(back_charges(scope_of(request.user), asked))
    response = HttpResponse(content, content_type=XLSX)
    response.headers["Content-Disposition"] = 'attachment; filename="back-charges.xlsx"'
    return response


def _query(asked: ChargeFilter) -> str:
    """Return the filters as a query string, for links that keep them."""
    given = {
        "builder": asked.builder,
        "month": f"{asked.month:%Y-%m}" if asked.month else "",
        "job": asked.job,
        "struck": "1" if asked.with_struck else "",
    }
    return urlencode({name: value for name, value in given.items() if value})
