"""The printed checklist, read back by other people's libraries: PDFium for words, ZXing for QR."""

import re
from collections.abc import Iterator
from datetime import date
from typing import Any

import pypdfium2
import pytest
import time_machine
import zxingcpp
from django.conf import settings
from django.test import Client

from jobs.models import Superintendent
from scheduling.checklists.pdf import drawable
from scheduling.models import WeekVersion
from tests.jobs.estimates.built import built
from tests.pages import marks
from tests.people import NOW, Company, signed_in, site_make
from tests.scheduling.crew_days.phones import WORK
from tests.scheduling.houses import version_make, visit_make
from tests.trust.faults.harness import state_digest


@pytest.fixture(autouse=True)
def _thursday_morning() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


class Paper:
    """A PDF as other libraries read it: the words of each page and its QR codes."""

    def __init__(self, content: bytes) -> None:
        document = pypdfium2.PdfDocument(content)
        pages = [document[n] for n in range(len(document))]
        self.words = [" ".join(page.get_textpage().get_text_range().split()) for page in pages]
        pictures = [page.render(scale=2).to_pil() for page in pages]
        only: Any = zxingcpp.BarcodeFormat.QRCode  # rows of boxes look like bars to it
        self.codes = [[f.text for f in zxingcpp.read_barcodes(p, formats=only)] for p in pictures]
        self.all_words = " ".join(self.words)
        document.close()


def made(company: Company, job_id: int) -> tuple[Client, dict[str, str]]:
    """The office's browser, and what its page of the new link posts for the sheet."""
    office = signed_in(company.omar)
    html = marks(office.post(f"/jobs/{job_id}/checklist-link/"))
    names = ("secret", "code")
    fields = {n: re.findall(rf'type="hidden" name="{n}" value="([^"]+)"', html)[0] for n in names}
    return office, fields


def test_all_houses_with_qr_code_boxes_and_who_owes_what_by_when(company: Company) -> None:
    job, later = built(company), built(company, "Lot 2")
    posted = version_make(company, WeekVersion.State.POSTED)
    visit_make(posted, company.north, date(2027, 3, 2), job, WORK)
    office, fields = made(company, job.pk)
    before = state_digest()
    answer = office.post("/checklist-sheet/", {**fields, "houses": "together"})
    assert state_digest() == before
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.headers["Cache-Control"] == "no-store"
    paper = Paper(answer.content)
    assert paper.codes[0] == [f"{settings.SITE_URL}/c/{fields['secret']}/"]
    assert "Rosa Reyes: what your houses still owe us" in paper.all_words
    assert "/code and type:" in paper.all_words
    assert fields["code"] in paper.all_words
    assert "Our crew comes Tue Mar 2." in paper.all_words
    assert "chases and dropped soffits capped" in paper.all_words
    assert "needed before Tue Mar 2 · owed" in paper.all_words
    assert paper.all_words.index(str(job)) < paper.all_words.index(str(later))


def test_a_sheet_for_each_house_has_each_its_own_address(company: Company) -> None:
    jobs = [built(company), built(company, "Lot 2")]
    office, fields = made(company, jobs[0].pk)
    base = f"{settings.SITE_URL}/c/{fields['secret']}"
    apart = Paper(office.post("/checklist-sheet/", {**fields, "houses": "apart"}).content)
    assert sorted(code for page in apart.codes for code in page) == sorted(
        f"{base}/{job.pk}/" for job in jobs
    )
    one = Paper(office.post("/checklist-sheet/", {**fields, "houses": jobs[1].pk}).content)
    assert one.codes[0] == [f"{base}/{jobs[1].pk}/"]
    assert str(jobs[0]) not in one.all_words


def test_spanish_with_its_accents(company: Company) -> None:
    job = built(company)
    Superintendent.objects.update(name="Íñigo Núñez Güell", language="es")
    office, fields = made(company, job.pk)
    paper = Paper(office.post("/checklist-sheet/", fields).content)
    assert "Íñigo Núñez Güell: lo que falta en sus casas" in paper.all_words
    assert "huecos verticales y cajillos tapados" in paper.all_words
    assert "Responda con su teléfono" in paper.all_words
    for english in (" the ", " and ", "owed", "Done", "needed"):
        assert english not in paper.all_words
    english_paper = Paper(office.post("/checklist-sheet/", {**fields, "language": "en"}).content)
    assert "what your houses still owe us" in english_paper.all_words


def test_seventeen_houses_fill_pages_and_lose_no_row(company: Company) -> None:
    jobs = [built(company, f"Lot {n}") for n in range(17)]
    office, fields = made(company, jobs[0].pk)
    answer = office.post("/checklist-sheet/", fields)
    paper = Paper(answer.content)
    assert paper.all_words.count("chases and dropped soffits capped") == 17
    assert f"Page {len(paper.words)} of {len(paper.words)}" in paper.words[-1]
    assert len(answer.content) < 100_000


def test_only_the_office_of_the_yard_prints_and_only_what_a_link_opens(company: Company) -> None:
    job = built(company)
    far = built(company, "Lot 9", site=site_make(company.fairfield, "Far", superintendent="Roe"))
    office, fields = made(company, job.pk)
    for user in (company.lena, company.esme, company.cleo):
        assert signed_in(user).post("/checklist-sheet/", fields).status_code == 404
    elsewhere: dict[str, Any] = {**fields, "houses": far.pk}
    wrong: list[dict[str, Any]] = [{"secret": "x"}, {**fields, "houses": "x"}, elsewhere, {}]
    for posted in wrong:
        assert office.post("/checklist-sheet/", posted).status_code == 404
    assert office.get("/checklist-sheet/").status_code == 405


NAMES = ("Łukasz Ñuñez", "Nguyễn Thị Đào", "Ωmega Ψαράς", "Дмитрий Щукин", "Dvořák – “Zoë’s”…")


@pytest.mark.parametrize("name", NAMES)
def test_a_name_is_printed_as_it_is_written(company: Company, name: str) -> None:
    job = built(company)
    Superintendent.objects.update(name=name)
    office, fields = made(company, job.pk)
    paper = Paper(office.post("/checklist-sheet/", fields).content)
    assert f"{name}: what your houses still owe us" in paper.all_words


def test_letters_that_the_font_lacks_lose_their_marks_and_nothing_else(company: Company) -> None:
    job = built(company)
    Superintendent.objects.update(name="e\u0301 \U0001f3e0 建 Ｎora")
    office, fields = made(company, job.pk)
    paper = Paper(office.post("/checklist-sheet/", fields).content)
    assert "é ? ? Nora: what your houses still owe us" in paper.all_words


def test_signs_that_cannot_be_drawn_are_replaced() -> None:
    signs = {*range(32, 127), ord("é")}
    assert drawable("e\u0301 Ñuñez \U0001f3e0\x00\n", signs) == "é Nunez ?  "
    assert drawable("x\u0323", signs) == "x"
