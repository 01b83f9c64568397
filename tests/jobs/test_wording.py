"""Days, hours, quantities and sentences as people read them, in both languages."""

from datetime import date

import pytest
from django.utils import translation

from jobs import wording
from jobs.conditions.readiness import OpenCondition
from jobs.conditions.sentences import Sentence
from jobs.templatetags import trade

MONDAY = date(2027, 3, 1)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0, "0 min"), (40, "40 min"), (60, "1 h"), (165, "2 h 45 min"), (None, "0 min")],
)
def test_duration(minutes: float | None, words: str) -> None:
    assert wording.duration(minutes) == words


@pytest.mark.parametrize(("minutes", "words"), [(165, "2.8"), (60, "1.0"), (None, "0.0")])
def test_hours(minutes: float | None, words: str) -> None:
    assert wording.hours(minutes) == words


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (1500, "1,500"),
        ("28/15", "1.87"),
        (16.470, "16.47"),
        (100, "100"),
        (0, "0"),
        (None, ""),
        ("machine", "machine"),
        ("1/0", "1/0"),
    ],
)
def test_number(value: object, words: str) -> None:
    assert wording.number(value) == words


@pytest.mark.parametrize(
    ("quantity", "unit", "english", "spanish"),
    [
        (1, "cans", "1 can", "1 lata"),
        (112, "bags", "112 bags", "112 bolsas"),
        (11.2, "bags", "12 bags", "12 bolsas"),
        (470, "ft2", "470 ft²", "470 ft²"),
    ],
)
def test_what_is_counted_is_whole_and_has_its_plural(
    quantity: float, unit: str, english: str, spanish: str
) -> None:
    assert wording.quantity_text(quantity, unit) == english
    with translation.override("es"):
        assert wording.quantity_text(quantity, unit) == spanish


def test_days() -> None:
    assert wording.day_text(MONDAY) == "Mon Mar 1"
    assert wording.day_text(None) == ""
    with translation.override("es"):
        assert wording.day_text(MONDAY) == "lun 1 de marzo"


def test_a_sentence_of_the_conditions() -> None:
    how = Sentence("owed by %(party)s, promised %(day)s", {"party": "roofer", "day": MONDAY})
    sentence = OpenCondition("roof free of leaks", how).sentence
    assert (
        wording.sentence_text(sentence) == "roof free of leaks: owed by roofer, promised Mon Mar 1"
    )
    with translation.override("es"):
        assert wording.sentence_text(sentence) == (
            "techo sin goteras: le toca a techador, prometido para el lun 1 de marzo"
        )


def test_an_empty_word_is_not_the_catalogue_s_head() -> None:
    with translation.override("es"):
        assert wording.word("") == ""
        assert wording.word(None) == ""
        assert wording.word("a word of the contractor's own") == "a word of the contractor's own"


def test_names_of_the_trade() -> None:
    assert trade.step_name("flat_blow") == "flat blow"
    assert trade.party_name("hvac") == "HVAC"
    assert trade.gate_name("law") == "law: an authority must pass it"
    assert trade.state_name("seen_done") == "seen done"
    assert trade.step_name("of_the_contractor") == "of_the_contractor"
