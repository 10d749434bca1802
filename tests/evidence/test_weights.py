"""What one rule says for or against a fault: complements, confidence, aspects and replaced rules."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.evidence.weights import decibans, emphasis, weigh
from assistant.records import Firing, Known
from assistant.rulebook.models import Fact, Setting
from tests.evidence.small import book_of, fault, fires, ranked, rule, shares

per_100 = st.floats(0.1, 99.9)


def counts(book, *names: str, confidence: float = 1.0) -> dict[tuple[str, str], str | None]:
    """(rule, fault) -> what covers it."""
    return {(w.rule, w.fault): w.covered_by for w in weigh(book, fires(book, *names, confidence=confidence), book.faults)}


@pytest.mark.parametrize(("seen", "otherwise", "confidence"), [(0, 50, 1), (100, 50, 1), (50, 0, 1), (50, 100, 1), (50, 50, 1.1), (50, 50, -0.1)])
def test_nothing_is_ever_at_0_or_100(seen, otherwise, confidence):
    """A frequency at its end, or a confidence outside 0 and 1, is refused."""
    with pytest.raises(ValueError):
        decibans(seen, otherwise, confidence)


@given(per_100, per_100)
def test_a_denial_is_the_complement(seen, otherwise):
    """That a sign is not there weighs as a sign with the complement of both numbers."""
    assert decibans(seen, otherwise, denial=True) == pytest.approx(decibans(100 - seen, 100 - otherwise), abs=1e-9)
    assert decibans(seen, otherwise) * decibans(seen, otherwise, denial=True) <= 0


@given(per_100, per_100, st.floats(0, 1), st.floats(0, 1))
def test_doubt_dilutes(seen, otherwise, one, two):
    """The less a statement is believed the less it weighs; not believed at all it weighs nothing, and it never changes its side."""
    low, high = sorted((one, two))
    assert abs(decibans(seen, otherwise, low)) <= abs(decibans(seen, otherwise, high)) + 1e-9
    assert decibans(seen, otherwise, 0.0) == pytest.approx(0, abs=1e-9)
    assert decibans(seen, otherwise, 1.0) == pytest.approx(10 * math.log10(seen / otherwise), abs=1e-9)
    assert decibans(seen, otherwise, low) * decibans(seen, otherwise, high) >= -1e-12


def test_a_doubtful_sign_is_a_mixture():
    """A sign believed with confidence c weighs as one seen in c of its number and the rest of what others show: (0.5 x 80 + 0.5 x 10) / 10."""
    assert decibans(80, 10, 0.5) == pytest.approx(10 * math.log10(4.5), abs=1e-12)


def test_only_the_strongest_of_an_aspect_counts():
    """Of signs that hang together only the strongest counts for each fault, be it for or against; the others name what covers them."""
    book = book_of([fault("a"), fault("b")], [rule("dim", {"a": 40, "b": 12}, 10, aspect="electrics"), rule("silent", {"a": 60, "b": 1}, 10, aspect="electrics"),
                                              rule("click", {"a": 90}, 10)])
    assert counts(book, "dim", "silent", "click") == {("dim", "a"): "silent", ("dim", "b"): "silent", ("silent", "a"): None, ("silent", "b"): None, ("click", "a"): None}
    assert counts(book, "dim") == {("dim", "a"): None, ("dim", "b"): None}


def test_equal_strength_in_an_aspect_counts_once():
    """Two rules of an aspect that say exactly the same count once, whichever was heard first."""
    book = book_of([fault("a")], [rule("one", {"a": 40}, 10, aspect="same"), rule("two", {"a": 40}, 10, aspect="same")])
    assert counts(book, "one", "two") == counts(book, "two", "one") == {("one", "a"): "two", ("two", "a"): None}


def test_a_more_specific_rule_replaces():
    """A rule that fired stands for those it replaces, also for faults it says nothing of itself, and chains of them."""
    book = book_of([fault("a"), fault("b")], [rule("plain", {"a": 40, "b": 30}, 10), rule("finer", {"a": 60}, 10, replaces=["plain"]),
                                              rule("finest", {"a": 80}, 10, replaces=["finer"])])
    assert counts(book, "plain", "finer") == {("plain", "a"): "finer", ("plain", "b"): "finer", ("finer", "a"): None}
    assert counts(book, "plain", "finer", "finest") == {("plain", "a"): "finer", ("plain", "b"): "finer", ("finer", "a"): "finest", ("finest", "a"): None}
    assert counts(book, "plain") == {("plain", "a"): None, ("plain", "b"): None}


def test_a_denied_combination_replaces_nothing():
    """That a combination was denied says nothing of its parts: they still count."""
    book = book_of([fault("a")], [rule("plain", {"a": 40}, 10), rule("finer", {"a": 60}, 10, replaces=["plain"])])
    assert counts(book, "plain", "not finer") == {("plain", "a"): None, ("finer", "a"): None}


def test_a_replaced_rule_leaves_its_aspect():
    """A replaced rule does not cover others of its aspect, however strong it is."""
    book = book_of([fault("a")], [rule("strong", {"a": 90}, 10, aspect="same"), rule("weak", {"a": 20}, 10, aspect="same"), rule("finer", {"a": 50}, 10, replaces=["strong"])])
    assert counts(book, "strong", "weak", "finer") == {("strong", "a"): "finer", ("weak", "a"): None, ("finer", "a"): None}


def test_faults_that_do_not_exist_get_no_weight():
    """A rule's number for a fault that is not possible on this machine is not weighed."""
    book = book_of([fault("a"), fault("b")], [rule("sign", {"a": 40, "b": 30}, 10)])
    assert [w.fault for w in weigh(book, fires(book, "sign"), ["b"])] == ["b"]


@pytest.mark.parametrize("kind", ["derive", "applies", "caution"])
def test_other_kinds_of_rules_weigh_nothing(kind):
    """Only evidence, show, rule-out and disturbed carry weights."""
    book = book_of([fault("a")], [rule("sign", {"a": 40}, 10, kind)])
    assert counts(book, "sign") == {}


@given(st.lists(st.tuples(per_100, per_100, st.booleans()), max_size=8))
def test_order_of_evidence_does_not_matter(numbers):
    """The same firings in another order give the same posterior, and it is the product of the ratios."""
    book = book_of([fault("a", 100), fault("b", 50)], [rule(f"s-{n}", {"a": seen}, otherwise) for n, (seen, otherwise, _) in enumerate(numbers)])
    names = [f"{'not ' if denied else ''}s-{n}" for n, (_, _, denied) in enumerate(numbers)]
    first, second = (shares(ranked(book, fires(book, *order))) for order in (names, names[::-1]))
    ratio = math.prod((100 - s) / (100 - o) if d else s / o for s, o, d in numbers)
    assert first == pytest.approx(second, abs=1e-12)
    assert first["a"] == pytest.approx(100 * ratio / (100 * ratio + 80), rel=1e-9)


def book_with_settings(**worth: float):
    """One fault, a sign and a piece of work that speak of it, and what telling them unasked is worth."""
    book = book_of([fault("f")], [rule("sign", {"f": 80}, 8), rule("work", {"f": 40}, 4)])
    book.facts = {name: Fact.model_validate({"id": name, "file": "facts.yaml", "line": 1, "about": name, "plain": name, "values": {"yes": "yes"}})
                  for name in ("sign", "work")}
    book.settings.update({f"unasked-{about}": Setting(id=f"unasked-{about}", file="s.yaml", line=1, plain="times", value=value) for about, value in worth.items()})
    return book


def test_what_is_told_unasked_counts_as_often_as_the_settings_say():
    """Only signs told unasked are lifted, only where a setting says so, and a combination by the mean over its facts."""
    book = book_with_settings(sign=1.5)
    sign, work = Known("sign", "yes", unasked=True), Known("work", "yes", unasked=True)
    assert emphasis(book, ()) == 1 and emphasis(book, (work,)) == 1
    assert emphasis(book, (sign,)) == 1.5 and emphasis(book, (sign, work)) == 1.25
    assert emphasis(book, (Known("sign", "yes"),)) == 1
    assert emphasis(book_with_settings(), (sign, work)) == 1
    plain, lifted = (weigh(book, [Firing("sign", "evidence", (Known("sign", "yes", unasked=u),))], ["f"])[0] for u in (False, True))
    assert plain.decibans == pytest.approx(10) and plain.emphasis == 1
    assert lifted.decibans == pytest.approx(15) and lifted.emphasis == 1.5
