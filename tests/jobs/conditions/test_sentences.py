"""Sentences that keep their template and values apart."""

from datetime import date

from jobs.conditions.sentences import Sentence, english_date

SPANISH = {
    "%(name)s: owed by %(party)s, promised %(day)s": "%(name)s: debe %(party)s, para el %(day)s",
    "drywaller": "tablarroquero",
    "ceiling board hung and taped": "tablero del techo puesto",
}
PROMISE = Sentence(
    "%(name)s: owed by %(party)s, promised %(day)s",
    {"name": "ceiling board hung and taped", "party": "drywaller", "day": date(2027, 3, 2)},
)


def test_english_needs_no_translator() -> None:
    assert str(PROMISE) == "ceiling board hung and taped: owed by drywaller, promised Tue Mar 2"


def test_template_words_and_dates_are_translated_each() -> None:
    text = PROMISE.render(lambda word: SPANISH.get(word, word), lambda day: f"{day.day}/3")
    assert text == "tablero del techo puesto: debe tablarroquero, para el 2/3"


def test_numbers_stay_numbers() -> None:
    assert str(Sentence("%(done)d of %(total)d", {"done": 4, "total": 6})) == "4 of 6"


def test_an_empty_word_is_not_looked_up() -> None:
    assert Sentence("[%(word)s]", {"word": ""}).render(lambda word: word or "header") == "[]"


def test_a_sentence_without_values_may_hold_a_percent_sign_doubled() -> None:
    assert str(Sentence("19 %% moisture")) == "19 % moisture"


def test_dates_do_not_depend_on_the_machines_language() -> None:
    assert english_date(date(2026, 12, 31)) == "Thu Dec 31"
