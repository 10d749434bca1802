"""Standings, lacking parts, and priors that depend on the machine."""

import pytest

from assistant.evidence.ranking import lacking, priors
from assistant.records import Firing, Known
from assistant.rulebook.conditions import Is
from assistant.rulebook.models import Rule, Setting
from tests.evidence.small import book_of, fault, fires, ranked, rule, shares


def applies(identity: str, **keys) -> Rule:
    """A rule of kind applies."""
    return Rule.model_validate({"id": identity, "file": "r.yaml", "line": 1, "kind": "applies", "says": "So.", "when": {}, **keys})


def test_has_beats_lacks():
    """A part that one rule says is there is not lacking, whatever others say; other kinds of rules take nothing away."""
    book = book_of([fault("a")], [rule("sign", {"a": 20}, 10)])
    for entry in (applies("bare", lacks=["carburettor", "tap"]), applies("seen", has=["tap"])):
        book.rules[entry.id] = entry
    fired = [Firing("bare", "applies", ()), Firing("seen", "applies", ()), *fires(book, "sign")]
    assert lacking(book, fired) == {"carburettor"}
    assert lacking(book, fired[1:]) == frozenset()


def test_priors_follow_the_machine():
    """The last line whose condition holds is how common a fault is here; a fault whose part is lacking, or none of whose lines holds, is not there."""
    book = book_of([fault("a", 100), fault("b", 50, parts=("tap",)), fault("c", 5)])
    book.priors["a"].append((10.0, Is("start-by", ("kick",))))
    book.priors["c"] = [(5.0, Is("start-by", ("kick",)))]
    assert priors(book, [], frozenset()) == {"a": 100, "b": 50}
    assert priors(book, [Known("start-by", "kick")], frozenset({"tap"})) == {"a": 10, "c": 5}
    assert priors(book, [Known("start-by", "kick", denied=True)], frozenset()) == {"a": 100, "b": 50}


def test_without_any_fault_all_is_unlisted():
    """When nothing of the files can be on this machine, what is not in the files is certain."""
    assert shares(ranked(book_of([]), [])) == {"unlisted": 1.0}


def test_huge_evidence_does_not_overflow():
    """Thousands of decibans one way or the other leave proper shares."""
    book = book_of([fault("a", 1), fault("b", 999)], [rule(f"s-{n}", {"a": 99.9, "b": 0.1}, 0.1) for n in range(300)], unlisted=1)
    result = shares(ranked(book, fires(book, *book.rules)))
    assert result["a"] == pytest.approx(1)
    assert sum(result.values()) == pytest.approx(1)


@pytest.mark.parametrize(("kind", "seen", "otherwise", "word"), [("show", 90, 1, "shown"), ("evidence", 90, 1, "likely"), ("rule-out", 0.1, 90, "ruled-out"), ("evidence", 0.1, 90, "suspected"),
                                                                  ("show", 11, 10, "suspected")])
def test_standing(kind, seen, otherwise, word):
    """Shown by a direct test while it leads, ruled out by one while little is left of it, else likely or suspected by its share."""
    book = book_of([fault("a", 100), fault("b", 300)], [rule("sign", {"a": seen}, otherwise, kind)], unlisted=10)
    assert ranked(book, fires(book, "sign")).of("a").standing == word


def test_a_denied_direct_test_shows_nothing():
    """That a direct test did not give its reading neither shows nor rules out by itself."""
    book = book_of([fault("a", 900), fault("b", 1)], [rule("sign", {"a": 90}, 95, "show")], unlisted=1)
    assert ranked(book, fires(book, "not sign")).of("a").standing == "likely"


def test_a_fault_whose_repair_failed_is_repaired():
    """A fault whose repair was tried without success stands as repaired, with what chance is left of it."""
    ranking = ranked(book_of([fault("a", 900), fault("b", 100)], unlisted=1), [], {"a": 90.0})
    assert ranking.of("a").standing == "repaired"
    assert ranking.of("a").probability == pytest.approx(90 / 191)


def test_standings_take_their_limits_from_the_settings():
    """How much makes a fault likely is set in the files."""
    book = book_of([fault("a", 300), fault("b", 600)], unlisted=100)
    assert ranked(book, []).of("a").standing == "suspected"
    book.settings["likely-least"] = Setting(id="likely-least", file="s.yaml", line=1, plain="likely", value=0.25)
    assert ranked(book, []).of("a").standing == "likely"


def test_ties_go_by_name():
    """Faults with the same share are in the order of their ids."""
    assert [s.fault for s in ranked(book_of([fault("b"), fault("c"), fault("a")]), []).standings] == ["a", "b", "c"]


def test_a_standing_names_every_rule_that_spoke():
    """Also the rules that are covered are listed with the fault they speak of."""
    book = book_of([fault("a"), fault("b")], [rule("plain", {"a": 40, "b": 30}, 10), rule("finer", {"a": 60}, 10, replaces=["plain"])])
    ranking = ranked(book, fires(book, "plain", "finer"))
    assert {s.fault: s.rules for s in ranking.standings} == {"a": ("finer", "plain"), "b": ("plain",)}
    assert ranking.of("nothing") is None


@pytest.mark.parametrize(("replaces", "word"), [([], "shown"), (["test"], "likely")])
def test_a_direct_test_shows_its_fault_beside_a_stronger_sign(replaces, word):
    """A sign of the same aspect may carry the sum, the fault was shown all the same; a rule that replaces the test speaks in its place."""
    book = book_of([fault("a", 100), fault("b", 100)], [rule("test", {"a": 80}, 2, "show", aspect="x"), rule("sign", {"a": 90}, 0.5, aspect="x", replaces=replaces)])
    at = ranked(book, fires(book, "test", "sign"))
    assert [w.covered_by for w in at.weights] == [None, "sign"]
    assert at.standings[0].fault == "a" and at.standings[0].standing == word
