"""The engine's edges: rules that feed themselves, alternatives, denials, withdrawn matches, and the library it stands on."""

import logging
import re
import subprocess
import sys
from functools import lru_cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.engine import run as run_module
from assistant.engine.normal import MAX_BRANCHES, Literal, TooManyBranches, branches
from assistant.engine.run import Engine, RunawayRules
from assistant.records import Known
from assistant.rulebook.conditions import All, Any_, Denied, Is, Not, Unknown, Within, alternatives, topics
from assistant.rulebook.evaluate import holds, index
from assistant.rulebook.strata import loops, strata
from tests.engine.rulesets import MADE, NUMBER, SAID, VALUES, book_of, conditions, rule, told

ROOT = Path(__file__).parents[2]


def derive(name: str, topic: str, value: str):
    """A derive rule."""
    return rule(name, "derive", then={topic: value})


def weigh(name: str):
    """An evidence rule."""
    return rule(name, seen_in={"fault": 50}, otherwise=5)


def fired(engine: Engine, *facts: Known) -> list[str]:
    """The ids of the rules that fire on these facts, denials with a 'not' before them."""
    return [("not " if f.denial else "") + f.rule for f in engine.run(facts)[1]]


def test_a_withdrawn_match_never_fires():
    """Of many rules that wait for silence, none fires once that is broken, whichever the library would have missed.

    experta 1.9.4's own agenda forgets to withdraw when more than three activations are of equal rank.
    """
    waiting = [(derive(f"wait-{n}", MADE[0], "a"), Unknown(SAID[n % 3])) for n in range(30)]
    engine = Engine(book_of(waiting))
    assert fired(engine) == sorted(f"wait-{n}" for n in range(30))
    assert fired(engine, *(Known(topic, "a") for topic in SAID[:3])) == []


def test_a_conclusion_can_silence_a_later_rule():
    """A rule that waits for something not to be known is tried only after everything that could conclude it."""
    engine = Engine(book_of([(derive("first", MADE[0], "a"), Is(SAID[0], ("a",))), (derive("second", MADE[1], "a"), Unknown(MADE[0])),
                             (weigh("third"), Not(Is(MADE[1], ("a",))))]))
    assert fired(engine, Known(SAID[0], "a")) == ["first", "third"]
    assert fired(engine, Known(SAID[0], "b")) == ["second"]


def test_what_was_said_beats_what_a_rule_would_conclude():
    """A derive rule is silent where somebody has said another value, or that its value is not so; several values together are no conflict."""
    book = book_of([(derive("one", MADE[0], "a"), Is(SAID[0], ("a",))), (derive("many", "many-0", "a"), Is(SAID[0], ("a",)))])
    engine = Engine(book)
    assert fired(engine, Known(SAID[0], "a"), Known(MADE[0], "b"), Known("many-0", "b")) == ["many"]
    assert fired(engine, Known(SAID[0], "a"), Known(MADE[0], "a", denied=True), Known("many-0", "a", denied=True)) == []
    assert fired(engine, Known(SAID[0], "a"), Known(MADE[0], "b", denied=True)) == ["many", "one"]


@pytest.mark.parametrize(("facts", "expected"), [
    ([Known("said-0", "a", denied=True)], ["not single"]),
    ([Known("said-0", "a", denied=True), Known("said-0", "b")], []),
    ([Known("said-1", "a", denied=True)], []),
    ([Known("said-1", "a", denied=True), Known("said-1", "b", denied=True)], ["not pair"]),
    ([Known("many-0", "a", denied=True), Known("many-0", "b")], ["not many"]),
    ([Known("made-0", "a", denied=True), Known("said-2", "b")], ["derive"]),
    ([Known("made-0", "a", denied=True)], ["not made"])])
def test_a_denial_speaks_by_the_complement(facts, expected):
    """A denied value speaks through its own rule, of all values of the rule are denied and nothing better is known of the topic."""
    engine = Engine(book_of([(weigh("single"), Is("said-0", ("a",))), (weigh("pair"), Is("said-1", ("a", "b"))), (weigh("many"), Is("many-0", ("a",))),
                             (derive("derive", "made-0", "c"), Is("said-2", ("b",))), (weigh("made"), Is("made-0", ("a",)))]))
    assert fired(engine, *facts) == expected


def test_rules_that_do_not_come_to_rest_are_named(monkeypatch):
    """Past a bound on steps the engine stops and names the busiest rules; afterwards it works as before."""
    engine = Engine(book_of([(weigh("busy"), Is(SAID[0], VALUES)), (weigh("idle"), Is(SAID[1], ("a",)))]))
    monkeypatch.setattr(run_module, "_MAX_STEPS", 0)
    with pytest.raises(RunawayRules, match="do not come to rest"):
        engine.run([Known(SAID[0], "a")])
    monkeypatch.undo()
    assert fired(engine, Known(SAID[0], "a")) == ["busy"]


def test_rules_that_feed_themselves_are_found_in_the_order_they_do():
    """A circle of derive rules is named in the order in which they feed one another, from its first id; nothing is run."""
    circle = [(derive("a", MADE[0], "a"), Is(MADE[2], ("a",))), (derive("c", MADE[1], "a"), Is(MADE[0], ("a", "b"))), (derive("b", MADE[2], "a"), Unknown(MADE[1]))]
    assert loops(book_of(circle)) == [["a", "c", "b"]]
    with pytest.raises(ValueError, match="feed themselves: a, b, c"):
        strata(book_of(circle))


def test_other_values_of_a_topic_are_no_circle():
    """Two rules on the same two topics are no circle as long as neither waits for a value that the other concludes."""
    book = book_of([(derive("a", MADE[0], "a"), Not(Is(MADE[1], ("b",)))), (derive("b", MADE[1], "a"), Not(Is(MADE[0], ("a",))))])
    assert loops(book) == []
    assert strata(book) == {"a": 0, "b": 1}
    assert fired(Engine(book)) == ["a"]


@given(st.lists(st.tuples(st.sampled_from(MADE), st.sampled_from(VALUES), conditions(MADE, 1)), max_size=6))
@settings(max_examples=100, deadline=None)
def test_either_a_circle_or_an_order(drawn):
    """Any set of derive rules either has a circle, each rule of which names what the one before makes, or has strata in which makers come first."""
    book = book_of([(derive(f"r-{n}", topic, value), condition) for n, (topic, value, condition) in enumerate(drawn)])
    found = loops(book)
    for loop in found:
        for maker, user in zip(loop, [*loop[1:], loop[0]]):
            assert set(book.rules[maker].then) & topics(book.conditions[user])
    if found:
        return
    level = strata(book)
    for user, condition in book.conditions.items():
        for maker in book.conditions:
            for topic, value in book.rules[maker].then.items():
                changes = _changes(condition, topic, value)
                assert level[maker] <= level[user] or not changes
                assert level[maker] < level[user] or "ends it" not in changes


@lru_cache(None)
def _situations(topic: str, value: str) -> list[tuple[dict, dict]]:
    """Small sets of facts, each without and with the one given."""
    some = [Known(t, v) for t in MADE for v in VALUES]
    sets = [[]] + [[one] for one in some] + [[one, two] for one in some for two in some if one.topic < two.topic]
    return [(index(facts), index([*facts, Known(topic, value)])) for facts in sets]


def _changes(condition, topic: str, value: str) -> set[str]:
    """What one more fact can do to a condition, tried on all small sets of facts."""
    return {"ends it" if holds(condition, without) else "makes it" for without, with_it in _situations(topic, value)
            if holds(condition, without) != holds(condition, with_it)}


@given(conditions(SAID, 3), told(SAID))
@settings(max_examples=300, deadline=None)
def test_alternatives_mean_the_same_as_the_condition(condition, facts):
    """A condition holds exactly when all literals of one of its alternatives do, and there are no more alternatives than were reckoned."""
    if alternatives(condition) > MAX_BRANCHES:
        with pytest.raises(TooManyBranches):
            branches(condition)
        return
    parts = branches(condition)
    known = index(facts)
    assert any(all(_literal_holds(literal, known) for literal in part) for part in parts) == holds(condition, known)
    assert len(parts) <= alternatives(condition)


def _literal_holds(literal: Literal, known: dict[str, list[Known]]) -> bool:
    found = [f for f in known.get(literal.topic, []) if f.denied == literal.denied and (literal.values is None or f.value in literal.values)
             and (literal.within is None or f.number is not None and literal.within.holds(f.number))]
    return bool(found) != literal.absent


def test_64_alternatives_run_and_65_are_refused():
    """The bound on alternatives is 64, reached by a product or a plain list alike."""
    pair = Any_((Is(SAID[0], ("a",)), Is(SAID[1], ("a",))))
    book = book_of([(weigh("wide"), All((pair,) * 6))])
    assert fired(Engine(book), Known(SAID[1], "a")) == ["wide"]
    for wide in (All((pair,) * 7), Any_(tuple(Is(SAID[0], (f"v{n}",)) for n in range(65))), Not(Any_((Not(pair),) * 7))):
        with pytest.raises(TooManyBranches):
            branches(wide)


@pytest.mark.parametrize(("bounds", "inside", "outside"), [({"below": 5}, [4.9, -1], [5, 5.1]), ({"above": 5}, [5.1], [5, 4]), ({"at_least": 5}, [5, 6], [4.9]),
                                                           ({"at_most": 5}, [5, 4], [5.1]), ({"at_least": 2, "below": 3}, [2, 2.9], [1.9, 3]), ({}, [-1e9, 1e9], [])])
def test_ranges(bounds, inside, outside):
    """Each bound includes or excludes its end as its name says, alone and together; words and denials are in no range."""
    engine = Engine(book_of([(weigh("range"), Within(NUMBER, **bounds))]))
    for number, expected in [(n, ["range"]) for n in inside] + [(n, []) for n in outside]:
        assert fired(engine, Known(NUMBER, str(number), float(number))) == expected
    assert fired(engine, Known(NUMBER, "some")) == fired(engine, Known(NUMBER, "3", 3.0, denied=True)) == []


def test_repeated_facts_are_merged_by_the_surest():
    """The same thing said twice counts once, as sure as the surer of the two."""
    engine = Engine(book_of([(weigh("one"), Is(SAID[0], ("a",)))]))
    _, (firing,) = engine.run([Known(SAID[0], "a", confidence=0.6, turn=3), Known(SAID[0], "a", confidence=0.9, turn=1)])
    assert (firing.confidence, firing.facts[0].turn) == (0.9, 1)


def test_any_is_as_sure_as_the_surest_and_all_as_the_least():
    """Two ways to one conclusion: the surer one counts; two things that must both hold: the less sure one does. The same for what is derived."""
    either, both = Any_((Is(SAID[0], ("a",)), Is(SAID[1], ("a",)))), All((Is(SAID[0], ("a",)), Is(SAID[1], ("a",))))
    engine = Engine(book_of([(weigh("either"), either), (weigh("both"), both), (derive("made", MADE[0], "a"), either), (weigh("after"), Is(MADE[0], ("a",)))]))
    derived, firings = engine.run([Known(SAID[0], "a", confidence=0.6), Known(SAID[1], "a", confidence=0.9)])
    assert {f.rule: f.confidence for f in firings} == {"after": 0.9, "both": 0.6, "either": 0.9, "made": 0.9}
    assert [d.confidence for d in derived] == [0.9]


def test_denied_and_said_together():
    """`denied` matches a denial only, `unknown` is not ended by one."""
    engine = Engine(book_of([(weigh("denied"), Denied(SAID[0], ("a",))), (weigh("unknown"), Unknown(SAID[0]))]))
    assert fired(engine, Known(SAID[0], "a", denied=True)) == ["denied", "unknown"]
    assert fired(engine, Known(SAID[0], "a")) == []


def test_only_one_module_imports_experta():
    """The library is named in an import in one file of the tree, the shim."""
    files = [path.relative_to(ROOT).as_posix() for folder in ("assistant", "tests") for path in (ROOT / folder).rglob("*.py")
             if re.search(r"^\s*(from experta\b|import experta\b)", path.read_text(encoding="utf-8"), re.M)]
    assert files == ["assistant/engine/shim.py"]


def test_importing_the_engine_leaves_logging_alone():
    """The library sets up the root logger when it is imported; after our import that is undone."""
    code = ("import logging; before = (list(logging.root.handlers), logging.root.level)\n"
            "import assistant.engine.run; assert (list(logging.root.handlers), logging.root.level) == before")
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)
    assert not any(type(handler) is logging.StreamHandler for handler in logging.root.handlers)
