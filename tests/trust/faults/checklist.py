"""What the sweep of faults breaks of the services about codes and photographs of checklists."""

from collections.abc import Callable

from contractor.files.photos import Picture
from jobs.checklists.services.answers import ChecklistAnswer, checklist_answer
from jobs.checklists.services.code import checklist_code_make, code_enter, code_try
from jobs.checklists.services.link import checklist_link_make
from jobs.estimates.services.estimate import job_estimate
from jobs.models import ChecklistCode, ChecklistLink, CodeTry, Condition, Superintendent
from tests.people import ACTOR, NOW, Company, attic_make, job_make, site_make

Call = Callable[[], object]


def linked(company: Company) -> ChecklistLink:
    """The link of a superintendent with one estimated house."""
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    person = Superintendent.objects.get()
    made = checklist_link_make(
        superintendent=person, branch=company.fairfield, actor=ACTOR, now=NOW
    )
    return made[0]


def of_code(company: Company) -> Call:
    link = linked(company)
    return lambda: checklist_code_make(link=link, actor=ACTOR, now=NOW)


def of_try(company: Company) -> Call:
    linked(company)
    return lambda: code_try(address="192.0.2.7", now=NOW)


def of_entry(company: Company) -> Call:
    _, code = checklist_code_make(link=linked(company), actor=ACTOR, now=NOW)
    code_try(address="192.0.2.7", now=NOW)
    assert ChecklistCode.objects.count() == 1
    return lambda: code_enter(typed=code, tried=CodeTry.objects.get(), now=NOW)


def of_photo(company: Company) -> Call:
    link = linked(company)
    condition = Condition.objects.get(code="ceiling_board")
    picture = Picture(b"jpeg", 1, 1)
    answer = ChecklistAnswer(condition.pk, condition.version, "done", picture=picture)
    return lambda: checklist_answer(link=link, answers=[answer], name="Rosa", now=NOW)


CASES: dict[str, Callable[[Company], Call]] = {
    "checklist_code_make": of_code,
    "code_try": of_try,
    "code_enter": of_entry,
    "checklist_answer": of_photo,
}
