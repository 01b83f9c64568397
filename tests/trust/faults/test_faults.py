"""Every service broken at each of its SQL statements: all of a change is there, or none of it."""

import ast
from collections.abc import Callable
from decimal import Decimal

import pytest

from contractor.access import Scope
from contractor.models import Event
from jobs.checklists.services.link import checklist_link_make, checklist_link_revoke
from jobs.conditions.states import Grounds
from jobs.estimates.services.estimate import job_estimate, warning_answer
from jobs.houses.services.customer import site_gate_say, site_place
from jobs.houses.services.drives import drive_times_import
from jobs.houses.services.job import job_create, job_update
from jobs.imports.services import import_apply
from jobs.models import ChecklistLink, Condition, EstimateWarning, Job, Superintendent
from jobs.readiness.services.condition import condition_move
from jobs.readiness.services.disown import condition_disown
from jobs.spaces.services import space_remove, space_save
from scheduling.models import PlanningRun, Week, WeekVersion
from scheduling.runs.services.runs import run_accept, run_cancel, run_stop, run_throw_away
from scheduling.weeks.services.moves import stop_move, stop_place, stop_take_off
from scheduling.weeks.services.posting import draft_discard, week_post
from tests.people import ACTOR, MONDAY, NOW, TODAY, Company, attic_make, job_make, site_make
from tests.scheduling.houses import WEEK, day, house_make, version_make, visit_make
from tests.scheduling.runs.test_run_services import ask, at, finish
from tests.source import functions, modules, name_of
from tests.trust.faults import (
    back_charges,
    calls,
    catalogue,
    checklist,
    facts,
    feed,
    mail,
    phones,
    rates,
    record,
    turned_away,
    windows,
)
from tests.trust.faults.harness import sweep

pytestmark = pytest.mark.django_db

Call = Callable[[], object]
SHEET = (
    b"builder,site,space,kind,area_ft2,target_r,board_in,framing_in\n"
    b"Hazel Homes,Heron Way 3,attic,attic_flat,1200,49,0.625,24\n"
)


def estimated(company: Company) -> Job:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    job.refresh_from_db()
    return job


def of_new_job(company: Company) -> Call:
    return lambda: job_create(
        branch=company.fairfield, builder="Hazel Homes", site="New Lane 4", actor=ACTOR, now=NOW
    )


def of_job_dates(company: Company) -> Call:
    job = estimated(company)
    return lambda: job_update(
        job_id=job.pk, version=job.version, changes={"ready_date": day(3)}, actor=ACTOR, now=NOW
    )


def of_space(company: Company) -> Call:
    job = estimated(company)
    space = job.spaces.get()
    return lambda: space_save(
        job_id=job.pk,
        version=job.version,
        space_id=space.pk,
        values={"area_ft2": Decimal(900)},
        actor=ACTOR,
        now=NOW,
    )


def of_space_gone(company: Company) -> Call:
    job = estimated(company)
    space = job.spaces.get()
    return lambda: space_remove(
        job_id=job.pk, version=job.version, space_id=space.pk, actor=ACTOR, now=NOW
    )


def of_estimate(company: Company) -> Call:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    return lambda: job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


def of_warning(company: Company) -> Call:
    job = estimated(company)
    warning = EstimateWarning.objects.create(
        space=job.spaces.get(), code="board_load", text="too heavy", holds=True
    )
    actor = type(ACTOR)(who="Omar", source=Event.Source.OFFICE, user=company.omar)
    return lambda: warning_answer(
        warning_id=warning.pk, answer="board is 5/8 in", actor=actor, now=NOW
    )


def of_condition(company: Company) -> Call:
    job = estimated(company)
    condition = Condition.objects.get(job=job, code="ceiling_board")
    return lambda: condition_move(
        condition_id=condition.pk,
        version=condition.version,
        to_state="promised",
        grounds=Grounds(day=MONDAY),
        actor=ACTOR,
        now=NOW,
    )


def of_place(company: Company) -> Call:
    site = site_make(company.fairfield, latitude=None, longitude=None)
    return lambda: site_place(
        site_id=site.pk,
        latitude=Decimal("41.7"),
        longitude=Decimal("-93.6"),
        actor=ACTOR,
        now=NOW,
    )


def of_gate(company: Company) -> Call:
    site = site_make(company.fairfield)
    return lambda: site_gate_say(site_id=site.pk, gate_note="4711", actor=ACTOR, now=NOW)


def of_drives(company: Company) -> Call:
    site_make(company.fairfield)
    content = b"from,to,minutes\nyard,Quarry Lane 1,23\n"
    return lambda: drive_times_import(
        branch=company.fairfield, content=content, actor=ACTOR, now=NOW
    )


def of_link(company: Company) -> Call:
    estimated(company)
    person = Superintendent.objects.get()
    return lambda: checklist_link_make(
        superintendent=person, branch=company.fairfield, actor=ACTOR, now=NOW
    )


def of_link_gone(company: Company) -> Call:
    of_link(company)()
    link = ChecklistLink.objects.get()
    return lambda: checklist_link_revoke(link_id=link.pk, actor=ACTOR, now=NOW)


def of_disowning(company: Company) -> Call:
    of_link(company)()
    condition = Condition.objects.get(code="ceiling_board")
    return lambda: condition_disown(
        condition_id=condition.pk,
        version=condition.version,
        note="the owner hangs it",
        actor=ACTOR,
        now=NOW,
    )


def of_import(company: Company) -> Call:
    scope = Scope(branch_ids=frozenset({company.fairfield.pk}))
    return lambda: import_apply(content=SHEET, scope=scope, actor=ACTOR, now=NOW)


def _lot(company: Company) -> Job:
    return house_make(company, "Lot 1", {"flat_blow": 100})


def of_ask(company: Company) -> Call:
    _lot(company)
    return lambda: ask(company)


def of_stop(company: Company) -> Call:
    _lot(company)
    run = ask(company)
    return lambda: run_stop(actor=ACTOR, run=run, now=NOW)


def of_cancel(company: Company) -> Call:
    _lot(company)
    run = ask(company)
    return lambda: run_cancel(actor=ACTOR, run=run, now=NOW)


def _finished(company: Company) -> PlanningRun:
    lot = _lot(company)
    return finish(ask(company), at(company, lot, 2))


def of_accept(company: Company) -> Call:
    run = _finished(company)
    return lambda: run_accept(
        actor=ACTOR, run=PlanningRun.objects.get(pk=run.pk), now=NOW, today=TODAY
    )


def of_throw_away(company: Company) -> Call:
    run = _finished(company)
    return lambda: run_throw_away(actor=ACTOR, run=PlanningRun.objects.get(pk=run.pk), now=NOW)


def _revision() -> int:
    return Week.objects.get(iso_week=9).revision


def of_post(company: Company) -> Call:
    draft = version_make(company, WeekVersion.State.DRAFT)
    visit_make(draft, company.north, day(2), _lot(company), {"flat_blow": 100})
    return lambda: week_post(
        actor=ACTOR,
        branch=company.fairfield,
        week=WEEK,
        expected=_revision(),
        now=NOW,
        today=TODAY,
    )


def of_discard(company: Company) -> Call:
    draft = version_make(company, WeekVersion.State.DRAFT)
    visit_make(draft, company.north, day(2), _lot(company), {"flat_blow": 100})
    return lambda: draft_discard(
        actor=ACTOR, branch=company.fairfield, week=WEEK, expected=_revision(), now=NOW
    )


def of_move(company: Company) -> Call:
    posted = version_make(company, WeekVersion.State.POSTED)
    stop = visit_make(posted, company.north, day(2), _lot(company), {"flat_blow": 100})
    return lambda: stop_move(
        actor=ACTOR,
        branch=company.fairfield,
        stop_id=stop.pk,
        crew=company.south,
        day=day(3),
        expected={"2027-W09": _revision()},
        now=NOW,
        today=TODAY,
    )


def of_take_off(company: Company) -> Call:
    posted = version_make(company, WeekVersion.State.POSTED)
    stop = visit_make(posted, company.north, day(2), _lot(company), {"flat_blow": 100})
    return lambda: stop_take_off(
        actor=ACTOR,
        branch=company.fairfield,
        stop_id=stop.pk,
        expected={"2027-W09": _revision()},
        now=NOW,
        today=TODAY,
    )


def of_placing(company: Company) -> Call:
    lot = _lot(company)
    return lambda: stop_place(
        actor=ACTOR,
        branch=company.fairfield,
        job_id=lot.pk,
        crew=company.north,
        day=day(1),
        expected={},
        now=NOW,
        today=TODAY,
    )


CASES: dict[str, Callable[[Company], Call]] = {
    "condition_disown": of_disowning,
    "drive_times_import": of_drives,
    "checklist_link_make": of_link,
    "checklist_link_revoke": of_link_gone,
    "condition_move": of_condition,
    "import_apply": of_import,
    "job_create": of_new_job,
    "job_estimate": of_estimate,
    "job_update": of_job_dates,
    "site_gate_say": of_gate,
    "site_place": of_place,
    "space_remove": of_space_gone,
    "space_save": of_space,
    "warning_answer": of_warning,
    "draft_discard": of_discard,
    "run_accept": of_accept,
    "run_ask": of_ask,
    "run_cancel": of_cancel,
    "run_stop": of_stop,
    "run_throw_away": of_throw_away,
    "stop_move": of_move,
    "stop_place": of_placing,
    "stop_take_off": of_take_off,
    "week_post": of_post,
    **back_charges.CASES,
    **calls.CASES,
    **catalogue.CASES,
    **checklist.CASES,
    **facts.CASES,
    **feed.CASES,
    **mail.CASES,
    **phones.CASES,
    **rates.CASES,
    **record.CASES,
    **windows.CASES,
    **turned_away.CASES,
}
# Parts of the services above, called by them within their transaction.
PARTS = {
    *mail.PARTS,
    "builder_ensure",
    "job_at_site",
    "site_ensure",
    "superintendent_ensure",
    "thing_reprice",
    "upload_import",
    "upload_keep",
}
# Services that open no transaction of their own: their parts do, or it is one statement.
WITHIN = {"facts_take", "phone_report", "phone_seen", "replans_ask", "rest_ask"}
# Senders of the outbox, ended at any moment in tests/contractor/outbox/test_killed.py.
SENDERS = {
    "mail_fail",
    "mail_finish",
    "mail_resume",
    "mail_retry",
    "mail_stop",
    "mail_write",
    "mails_settle",
}


def services_found() -> set[str]:
    """The public functions of services that open a transaction of their own, by the source."""
    return {
        function.name
        for path in modules()
        if "services" in name_of(path)
        for function in functions(path)
        if not function.name.startswith("_") and "atomic" in ast.unparse(function)
    }


def test_every_service_is_swept() -> None:
    assert services_found() - PARTS - SENDERS == set(CASES) - WITHIN


@pytest.mark.parametrize("name", sorted(CASES))
def test_a_fault_at_any_statement_leaves_nothing_half_done(
    name: str, company: Company, record_property: Callable[[str, object], None]
) -> None:
    points = sweep(CASES[name](company))
    record_property("fault points", points)
    assert points >= 1
