"""Builders' pages and the form for what a crew found, as the office uses them."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from contractor.workdays import WorkCalendar
from jobs.localtime import local_date
from jobs.models import Finding, Job
from jobs.record.views.plot import BROKEN, KEPT, plot_of
from tests.jobs.record.test_records import house, move, promised_and_done
from tests.pages import marks
from tests.people import MONDAY, Company, signed_in

WORK = WorkCalendar()


@pytest.fixture
def job(company: Company) -> Job:
    return house(company, "Lot 50")


def test_a_builder_s_page_shows_plot_table_and_evidence(company: Company) -> None:
    for number, slip in enumerate([0, 0, 0, 2, 20], start=1):
        promised_and_done(company, number, slip)
    browser = signed_in(company.omar)
    builder = Job.objects.all()[0].site.builder
    page = marks(browser.get(reverse("builder", args=[builder.pk])))
    assert page.count('<path class="mark"') == 5
    assert page.count(f'd="{BROKEN}"') == 2
    assert "kept 3 of 5, late by 2 days when late" in page
    assert page.count('<td class="n">20</td>') == 1
    listed = marks(browser.get(reverse("builders")))
    assert "kept 3 of 5, late by 2 days when late" in listed


def test_a_builder_without_a_record_says_so(company: Company, job: Job) -> None:
    page = signed_in(company.omar).get(reverse("builder", args=[job.site.builder_id]))
    words = marks(page)
    assert "<svg" not in words
    assert "no date on record yet" in words
    assert "80 %" in words


def test_what_another_yard_was_promised_is_not_told(company: Company) -> None:
    promised_and_done(company, 1, 0)
    builder = Job.objects.get().site.builder
    assert signed_in(company.lena).get(reverse("builder", args=[builder.pk])).status_code == 404


def test_the_office_writes_down_what_a_crew_found(company: Company, job: Job) -> None:
    move(job, "attic_access", "reported_done")
    browser, url = signed_in(company.omar), reverse("job-found", args=[job.pk])
    assert url in marks(browser.get(reverse("job", args=[job.pk])))
    report = job.conditions.get(code="attic_access")
    today = local_date(company.fairfield, timezone.now())
    told = {"day": today, "step_kinds": ["flat_blow"], "could_start": "no", "note": "screwed shut"}
    refused = browser.post(url, told)
    assert (refused.status_code, Finding.objects.count()) == (400, 0)
    assert "say what was missing" in marks(refused)
    assert browser.post(url, told | {"missing": [report.pk]}).status_code == 302
    finding = Finding.objects.get()
    assert (finding.could_start, finding.note, finding.who) == (False, "screwed shut", "Omar")
    report.refresh_from_db()
    assert report.state == "owed"
    assert "screwed shut" in marks(browser.get(url))


def test_the_plot_has_a_ring_for_kept_and_a_cross_for_broken() -> None:
    plot = plot_of([(MONDAY, 0), (MONDAY + timedelta(days=7), 3), (date(2027, 3, 9), 40)])
    assert plot is not None
    assert [point.mark for point in plot.points] == [KEPT, BROKEN, BROKEN]
    kept, late, later = plot.points
    assert kept.y == plot.frame.bottom > late.y > later.y == plot.frame.top
    assert plot.frame.left < kept.x < late.x < later.x < plot.frame.right
    assert plot_of([]) is None
