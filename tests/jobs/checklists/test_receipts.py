"""Receipts: one for each form that changed something, in the transaction of the answers."""

from datetime import timedelta

import pytest
from pytest_django import Settings

from contractor.models import Branch, OutboxMail
from contractor.outbox.seal import seal_open
from contractor.outbox.services.send import outbox_send
from contractor.outbox.services.stops import mail_stop
from jobs.checklists.services.answers import ChecklistAnswer, checklist_answer
from jobs.checklists.services.digest import digest_keep, digest_link_make
from jobs.checklists.services.link import checklist_link_make
from jobs.conditions.states import MoveRefused
from jobs.desk.services import Stale
from jobs.models import ChecklistLink, Condition, Superintendent
from tests.contractor.outbox.letters import mail_server
from tests.people import ACTOR, MONDAY, NOW, Company
from tests.scheduling.houses import condition_make, house_make

pytestmark = pytest.mark.django_db


@pytest.fixture
def cover(company: Company) -> Condition:
    """A chase cover that Rosa's house owes."""
    return condition_make(house_make(company, "Lot 1", {"flat_blow": 100}), ["flat_blow"])


@pytest.fixture
def link(cover: Condition) -> ChecklistLink:
    """The link to Rosa's list."""
    return checklist_link_make(
        superintendent=Superintendent.objects.get(),
        branch=cover.job.site.branch,
        actor=ACTOR,
        now=NOW,
    )[0]


def answer(link: ChecklistLink, cover: Condition, said: str = "on", **rest: object) -> None:
    cover.refresh_from_db()
    given = ChecklistAnswer(
        condition_id=cover.pk,
        version=cover.version,
        answer=said,
        day=MONDAY if said == "on" else None,
        **rest,  # type: ignore[arg-type]
    )
    checklist_answer(link=link, answers=[given], name="Rosa Reyes", now=NOW)


def test_it_says_what_who_and_how_to_change_it(link: ChecklistLink, cover: Condition) -> None:
    Branch.objects.filter(pk=link.branch_id).update(phone="515-555-0100")
    link.branch.refresh_from_db()
    answer(link, cover, note="after the roofer")
    mail = OutboxMail.objects.get()
    assert (mail.kind, mail.to_name) == ("receipt", "Rosa Reyes")
    assert mail.subject == "Your answers for Quarry Lane 1, Lot 1"
    lines = mail.text.splitlines()
    assert lines[0] == "For Quarry Lane 1, Lot 1 we wrote down, as Rosa Reyes said:"
    assert lines[2] == "- chase cover: promised for Mon Mar 1 (after the roofer)"
    assert lines[4].startswith("To change an answer, open the same list again.")
    assert "If this was not you, ring the office: 515-555-0100." in lines


@pytest.mark.parametrize(
    ("said", "words"), [("done", "reported done"), ("not_ours", "not yours; the office will")]
)
def test_each_kind_of_answer_is_told(
    link: ChecklistLink, cover: Condition, said: str, words: str
) -> None:
    answer(link, cover, said, note="the owner does it")
    assert f"- chase cover: {words}" in OutboxMail.objects.get().text


def test_what_changed_nothing_is_not_told_again(link: ChecklistLink, cover: Condition) -> None:
    answer(link, cover, "done")
    answer(link, cover, "done")
    assert OutboxMail.objects.count() == 1
    answer(link, cover, "on")
    assert OutboxMail.objects.count() == 2


def test_a_refused_form_has_no_receipt(link: ChecklistLink, cover: Condition) -> None:
    Condition.objects.update(version=7)
    with pytest.raises(Stale):
        checklist_answer(
            link=link, answers=[ChecklistAnswer(cover.pk, 1, "done")], name="Rosa", now=NOW
        )
    Condition.objects.update(state="seen_done")
    with pytest.raises(MoveRefused):
        answer(link, cover, "done")
    assert OutboxMail.objects.count() == 0


def test_it_speaks_spanish(link: ChecklistLink, cover: Condition) -> None:
    Superintendent.objects.update(language="es")
    link.superintendent.refresh_from_db()
    answer(link, cover)
    mail = OutboxMail.objects.get()
    assert mail.subject == "Sus respuestas para Quarry Lane 1, Lot 1"
    assert "prometido" in mail.text
    assert "lun 1 de marzo" in mail.text


def test_answers_by_a_digest_s_link_carry_that_link(
    link: ChecklistLink, cover: Condition, settings: Settings
) -> None:
    mailed, seal = digest_link_make(
        superintendent=link.superintendent, branch=link.branch, actor=ACTOR, now=NOW
    )
    answer(link, cover)
    first = OutboxMail.objects.get()
    assert "/c/" not in first.text
    digest_keep(
        superintendent=link.superintendent, day=MONDAY, mail=first, owed=[cover.pk],
        links=[(mailed, seal)], actor=ACTOR, now=NOW,
    )  # fmt: skip
    answer(ChecklistLink.objects.get(pk=mailed.pk), cover, "done")
    with mail_server(settings) as receiver:
        outbox_send(clock=lambda: NOW + timedelta(minutes=1))
    last = receiver.mails[-1].get_body(("plain",)).get_content()  # type: ignore[union-attr]
    assert f"/c/{seal_open(seal)}/" in last


def test_who_stopped_or_has_no_address_gets_none(link: ChecklistLink, cover: Condition) -> None:
    answer(link, cover)
    mail_stop(address_id=OutboxMail.objects.get().address_id, actor=ACTOR, now=NOW)
    answer(link, cover, "done")
    link.superintendent.email = ""
    answer(link, cover)
    assert OutboxMail.objects.count() == 1


def test_a_hostile_name_stays_on_its_line(link: ChecklistLink, cover: Condition) -> None:
    cover.refresh_from_db()
    checklist_answer(
        link=link,
        answers=[
            ChecklistAnswer(cover.pk, cover.version, "done", note="x\r\n\r\nBcc: a@b.example")
        ],
        name="Eve\r\nBcc: x@example.org",
        now=NOW,
    )
    mail = OutboxMail.objects.get()
    assert not [line for line in mail.text.splitlines() if line.startswith("Bcc")]
    assert "\n" not in mail.subject
