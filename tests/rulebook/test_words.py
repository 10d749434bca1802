"""Words and numbers by the YAML 1.2 core rules: what a person means by on, off, yes, no, run and 06.

Source: YAML 1.2.2 specification, section 10.3.2 (core schema, tag resolution), https://yaml.org/spec/1.2.2/.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.rulebook.load import load
from assistant.rulebook.source import Source, as_word, read_text
from tests.rulebook.folders import folder_with


def value_of(text: str):
    """What a plain scalar in a file is read as."""
    return read_text(f"key: {text}\n", Source("x.yaml")).value["key"]


@pytest.mark.parametrize("word", ["on", "off", "yes", "no", "On", "OFF", "Yes", "NO", "y", "n", "run", "12:30", "2024-01-31", "1_000", "0b11", "1.2.3", "nan", ".nan", ".inf"])
def test_words_stay_words(word):
    """Switch words, clock times, dates and version numbers are texts; not-a-number and infinity are no use to anybody and stay texts too."""
    assert value_of(word) == word


@pytest.mark.parametrize(("text", "value"), [("true", True), ("False", False), ("null", None), ("~", None), ("", None), ("12", 12), ("-7", -7), ("+5", 5),
                                             ("06", 6), ("0.5", 0.5), (".5", 0.5), ("1e3", 1000.0), ("12.", 12.0), ("'12'", "12"), ('"true"', "true")])
def test_numbers_and_the_three_constants(text, value):
    """Numbers, true, false and null are read as such unless they are quoted; a leading nought does not make a number octal."""
    read = value_of(text)
    assert read == value
    assert isinstance(read, type(value))


@pytest.mark.parametrize("text", ["06", "+5", "1.50", "1e3", "12", "0.5", "-7"])
def test_a_number_can_still_be_the_word_it_was(text):
    """Where a word is meant, a number is the word as written: the value called 06 is 06, not 6."""
    assert as_word(value_of(text)) == text


@given(st.one_of(st.integers(-10**9, 10**9), st.floats(-1e9, 1e9, allow_nan=False, allow_subnormal=False)))
def test_any_number_reads_back(number):
    """Whatever Python writes for a number is read as that number."""
    assert value_of(repr(number)) == number


def test_switch_words_as_ids_and_values(tmp_path):
    """Facts may be called on or run, with values on, off, yes, no, run and 06, unquoted everywhere."""
    folder = folder_with(tmp_path, switch="""
facts:
  run:
    about: sign
    plain: the switch
    many: no
    values: {on: it is on, off: it is off, yes: yes, no: no, run: it says run, 06: it says 06}
rules:
  switch-off-means-bright:
    kind: derive
    says: Odd, but words.
    when: {run: [off, no, 06]}
    then: {run: on}
    source: common-practice
  six-is-a-word:
    kind: derive
    says: Six is a word.
    when: {lights: dim}
    then: {run: 06}
    source: common-practice
phrases:
  run:
    off: [no, off, 06]
""").parent / "knowledge"
    book = load(folder)
    assert list(book.facts["run"].values) == ["on", "off", "yes", "no", "run", "06"]
    assert book.facts["run"].many is False
    assert book.conditions["switch-off-means-bright"].values == ("off", "no", "06")
    assert book.rules["switch-off-means-bright"].then == {"run": "on"}
    assert book.rules["six-is-a-word"].then == {"run": "06"}
    assert [p.pattern for p in book.phrases if p.topic == "run"] == ["no", "off", "06"]
