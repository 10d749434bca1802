"""What Tab offers, and the foot line: pure functions of what stands open."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.chat.completer import LEADS, Choice, Names, choices_of, suggest
from assistant.chat.screen import mark
from assistant.chat.text import width
from assistant.chat.toolbar import toolbar
from assistant.language.answers import Pending

CHOICES = [Choice("good", "a  good: fat and blue", ("a", "good", "fat", "and", "blue")), Choice("none", "b  none", ("b", "none"))]
NAMES = {"faults": ["fouled spark plug", "weak coil"], "checks": ["look for a spark at the plug"], "glossary": ["stator"], "tools": ["a multimeter"]}


def names(kinds):
    """Names of some kinds, as the book would give them."""
    return [n for kind in kinds for n in NAMES.get(kind, [])]


def offered(text):
    """What the line would be after each suggestion was taken."""
    return [text[: len(text) - s.back] + s.text for s in suggest(text, CHOICES, names)]


def test_an_empty_line_offers_the_quick_answers():
    """Nothing typed yet: all the choices, in their order."""
    assert offered("") == offered("  ") == ["good", "none"]


def test_a_beginning_narrows_them():
    """A mark, the word or a word of the meaning brings a choice up."""
    assert offered("b") == ["good", "none"]  # 'blue' and the letter
    assert offered("no") == ["none"] and offered("FA") == ["good"] and offered("zz") == []


@pytest.mark.parametrize("text, first", [
    ("why not ", "why not fouled spark plug"), ("why not co", "why not weak coil"), ("Why  not the co", "Why  not the weak coil"),
    ("what's a sta", "what's a stator"), ("why plug fou", "why fouled spark plug"), ("i want to check the sp", "i want to check the look for a spark at the plug"),
    ("what is mul", "what is a multimeter")])
def test_names_after_a_question(text, first):
    """After why, why not, what is and the like come names, by any beginning of any of their words; what was typed before stays."""
    assert offered(text)[0] == first


def test_a_story_is_left_in_peace():
    """Nothing is offered in the middle of ordinary words or of several lines."""
    assert offered("it cranks but will not") == [] and offered("why\nnot ") == []


@given(st.text(max_size=30) | st.sampled_from([lead for lead, _ in LEADS]).flatmap(lambda lead: st.text(max_size=10).map(lambda t: lead + " " + t)))
def test_a_suggestion_never_eats_more_than_the_line(text):
    """Any text: suggestions replace at most what was typed, and only its end."""
    for s in suggest(text, CHOICES, names):
        assert 0 <= s.back <= len(text)


def test_choices_send_what_is_understood():
    """A check's outcome word is sent; words that name two choices alike give way to the mark."""
    pending = Pending("check", "x", ("good", "steady-then-stops"), ("a thick stream", "fades to drops"))
    assert [c.send for c in choices_of(pending)] == ["good", "steady then stops"]
    twins = Pending("question", "x", ("one", "two"), ("the same words", "the same words"))
    assert [c.send for c in choices_of(twins, letters=True)] == ["a", "b"]
    assert choices_of(None) == []


def test_quick_answers_of_the_real_files_are_understood(mind):
    """Whatever Tab sends for a question or a check is read as exactly that answer, or is its bare mark."""
    book = mind.book
    open_now = [Pending("question", f.id, tuple(f.values)[:6], tuple(f.values.values())[:6]) for f in book.facts.values() if f.values]
    open_now += [Pending("check", c.id, tuple(c.outcomes), tuple(c.outcomes.values())) for c in book.checks.values()]
    for pending in open_now[::7]:
        made = choices_of(pending, pending.kind == "check", mind.reader)
        assert len(made) == len(pending.choices)
        for place, (choice, identity) in enumerate(zip(made, pending.choices)):
            heard = mind.reader.read(choice.send, pending)
            told = [s.value for s in heard.statements if s.fact == pending.id] + [r.outcome for r in heard.readings if r.check == pending.id]
            assert told == [identity] or choice.send == mark(place + 1, pending.kind == "check")


def test_names_put_the_likely_first(mind):
    """Faults that lead the ranking come first, and no name comes twice."""
    some = list(mind.book.faults)[5]
    got = Names(mind.book).of(["faults", "checks"], [some])
    assert got[0] == mind.book.faults[some].plain and len(got) == len(set(got))


@given(st.lists(st.text(max_size=20), max_size=4), st.floats(0, 10_000), st.integers(20, 120), st.booleans())
def test_the_foot_line_fits(opened, minutes, columns, ready):
    """It never takes more than the window's width."""
    assert sum(width(text) for _, text in toolbar(opened, minutes, columns, ready)) <= columns


def test_the_foot_line_says_what_is_open():
    """Names and minutes, hints only where there is room."""
    wide = "".join(t for _, t in toolbar(["seat off", "tank lifted"], 12.4, 80))
    assert "Open: seat off, tank lifted" in wide and "12 min" in wide and "Tab" in wide
    narrow = "".join(t for _, t in toolbar(["seat off", "tank lifted", "plug out of the head"], 12.4, 45))
    assert "12 min" in narrow and "3 places" in narrow and "Tab" not in narrow
    assert "Nothing open" in "".join(t for _, t in toolbar([], 0, 45))
