"""Spanish: whole for phone page, checklist, sign-in, jobs, readiness and the trade's words."""

import re

import polib
import pytest
from django.utils import translation

from contractor.models import Event
from jobs.conditions.seed import SEED
from jobs.conditions.words import GATE_NAMES, PARTY_NAMES, STATE_NAMES, STEP_NAMES
from jobs.houses.cautions import CAUTIONS, LAST_WORD
from jobs.models import Job, Space
from jobs.wording import day_text
from tests.messages import messages
from tests.people import MONDAY
from tests.source import APPS, BASE, modules, name_of

CATALOGUE = BASE / "contractor/locale/es/LC_MESSAGES"
PHONE_PAGES = (
    "contractor/templates/404.html",
    "contractor/templates/contractor/frame/base.html",
    "contractor/templates/contractor/frame/language.html",
    "contractor/templates/contractor/frame/locked_out.html",
    "contractor/templates/contractor/outbox/mail_letter.html",
    "contractor/templates/contractor/outbox/mail_stop.html",
    "contractor/templates/contractor/phones/phone_link.html",
    "contractor/templates/contractor/phones/phone_link_base.html",
    "contractor/templates/contractor/phones/phone_unsent.html",
    "contractor/templates/contractor/phones/phones_mine.html",
    "contractor/templates/contractor/frame/sign_in.html",
    "jobs/templates/jobs/desk/problems.html",
    "scheduling/templates/scheduling/facts/fact_problems.html",
    *(
        name_of(path)
        for name in ("crew_day*.html", "no_signal.html", "phone_*.html", "checklist*.html")
        for path in sorted((BASE / "scheduling/templates/scheduling").rglob(name))
    ),
)
MODULES = (
    *(name_of(path) for path in modules("contractor", "jobs")),
    "scheduling/arrivals/services.py",
    "scheduling/arrivals/words.py",
    "scheduling/checklists/digest_words.py",
    "scheduling/checklists/pdf.py",
    "scheduling/checklists/views/checklist.py",
    "scheduling/checklists/views/sheet.py",
    "scheduling/crew_days/views/crew_day.py",
    "scheduling/crew_days/views/phone_data.py",
    "scheduling/crew_days/views/phone_words.py",
    "scheduling/crew_days/views/phone_worker.py",
    "scheduling/facts/forms/fact.py",
    "scheduling/facts/services/facts.py",
    "scheduling/gather/holdups.py",
    *(name_of(path) for path in modules("scheduling/models")),
    "scheduling/turned_away/words.py",
)
OFFICE_PAGES = (
    *(
        f"jobs/templates/jobs/{name}.html"
        for name in [
            "rates/actuals",
            "charges/back_charge",
            "charges/back_charges",
            "record/builder",
            "record/builder_plot",
            "record/builders",
            "houses/cautions",
            "readiness/condition_moves",
            "desk/filters",
            "record/finding",
            "record/finding_list",
            "houses/job",
            "houses/job_condition",
            "houses/job_conditions",
            "houses/job_estimate",
            "houses/job_history",
            "houses/job_link",
            "houses/job_list",
            "houses/job_list_places",
            "houses/job_list_readiness",
            "houses/job_owner",
            "houses/job_spaces",
            "houses/job_work",
            "checklists/links",
            "desk/pager",
            "desk/problems",
            "readiness/readiness",
            "readiness/readiness_answer",
            "readiness/readiness_ask",
            "readiness/readiness_call",
            "readiness/readiness_house",
            "charges/take_over_fields",
        ]
    ),
)
CHOICES = (Space.Kind, Space.Cover, Job.State, Event.Source)
# What the estimate puts on a truck; other items are the contractor's own names of materials.
LOADS = (
    "rigid cover",
    "sheet metal",
    "fastenings",
    "baffles",
    "cellulose",
    "dam",
    "fire-rated sealant",
    "foam",
    "markers",
    "net",
)
WORDS_OF_THE_TRADE = {
    *STEP_NAMES.values(),
    *PARTY_NAMES.values(),
    *GATE_NAMES.values(),
    *STATE_NAMES.values(),
    *LOADS,
    *(word for c in CAUTIONS for word in (c.title, c.text)),
    LAST_WORD,
    *(str(label) for choice in CHOICES for label in choice.labels),
    *(entry.name for entry in SEED),
    *(entry.consequence for entry in SEED),
    *(entry.document for entry in SEED if entry.document),
}
# The same in both languages.
SAME = {"HVAC", "inspector"}


@pytest.fixture(scope="module")
def spanish() -> polib.POFile:
    """The catalogue as it is written."""
    return polib.pofile(str(CATALOGUE / "django.po"))


def needed() -> set[str]:
    return messages((*PHONE_PAGES, *OFFICE_PAGES, *MODULES)) | WORDS_OF_THE_TRADE


def test_every_word_of_these_pages_has_its_spanish(spanish: polib.POFile) -> None:
    there = {entry.msgid for entry in spanish if entry.translated() and not entry.obsolete}
    assert sorted(needed() - there) == []


def test_nothing_is_left_over_fuzzy_or_in_english(spanish: polib.POFile) -> None:
    assert [entry.msgid for entry in spanish if entry.fuzzy or entry.obsolete] == []
    untouched = {entry.msgid for entry in spanish if entry.msgid == entry.msgstr}
    assert untouched == SAME


def test_the_places_in_a_sentence_are_the_same_in_both_languages(spanish: polib.POFile) -> None:
    wrong = [
        (english, said)
        for entry in spanish
        for english, said in pairs(entry)
        if places(said) != places(english)
    ]
    assert wrong == []


def pairs(entry: polib.POEntry) -> list[tuple[str, str]]:
    """English and Spanish of one entry, of one thing and of many."""
    if not entry.msgid_plural:
        return [(entry.msgid, entry.msgstr)]
    one, many = entry.msgstr_plural[0], entry.msgstr_plural[1]
    return [(entry.msgid, one), (entry.msgid_plural, many)]


def places(text: str) -> set[str]:
    return set(re.findall(r"%\(\w+\)s|%[sd]|\{\w+\}", text))


def test_the_compiled_catalogue_is_the_written_one(spanish: polib.POFile) -> None:
    compiled = polib.mofile(str(CATALOGUE / "django.mo"))
    assert entries_of(compiled) == entries_of(spanish)
    assert compiled.metadata["Plural-Forms"] == spanish.metadata["Plural-Forms"]


def entries_of(catalogue: "polib.POFile | polib.MOFile") -> dict[tuple[str, str], object]:
    return {
        (entry.msgctxt or "", entry.msgid): entry.msgstr or dict(entry.msgstr_plural)
        for entry in catalogue
        if entry.msgid
    }


def test_django_reads_it() -> None:
    with translation.override("es"):
        assert translation.gettext("seen done") == "visto hecho"
        assert day_text(MONDAY) == "lun 1 de marzo"
    assert day_text(MONDAY) == "Mon Mar 1"


def test_the_collector_finds_what_templates_and_modules_say() -> None:
    assert "Today" in messages(["scheduling/templates/scheduling/crew_days/crew_days.html"])
    assert "%(n)s can" in messages(["jobs/wording.py"])
    assert "D M j" in messages(["jobs/wording.py"])
    assert messages(["scheduling/templates/scheduling/checklists/checklist_gone.html"]) == set()


def test_no_translation_outlives_its_words(spanish: polib.POFile) -> None:
    everything = [
        path.relative_to(BASE).as_posix()
        for app in APPS
        for pattern in ("*.html", "*.py")
        for path in (BASE / app).rglob(pattern)
    ]
    used = messages(everything) | WORDS_OF_THE_TRADE
    assert sorted({entry.msgid for entry in spanish} - used) == []
