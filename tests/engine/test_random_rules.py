"""On random rules and random facts the engine says what the rules say, in whatever order it gets them."""

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.engine.run import Engine
from assistant.records import Known
from assistant.rulebook.conditions import All, Any_, Condition, Denied, Is, Not, Unknown, Within
from assistant.rulebook.evaluate import holds, index
from assistant.rulebook.strata import loops
from tests.engine.clips_engine import ClipsEngine
from tests.engine.rulesets import MADE, SAID, book_of, layered, told

RULES, FACTS = layered(), told((*SAID, *MADE))
quick = settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck))


@given(rules=RULES, runs=st.lists(FACTS, min_size=2, max_size=4))
@quick
def test_same_conclusions_as_another_engine(rules, runs):
    """Derived facts and fired rules are those of CLIPS, one engine being used for several conversations in turn."""
    book = book_of(rules)
    ours, theirs = Engine(book), ClipsEngine(book)
    for facts in runs:
        derived, firings = ours.run(facts)
        assert ({(d.topic, d.value) for d in derived}, {f.rule for f in firings if not f.denial}) == theirs.run(facts)


@given(rules=RULES, facts=FACTS)
@quick
def test_a_rule_fires_when_its_condition_holds(rules, facts):
    """After the run, exactly the rules whose condition holds by plain recursion have fired, once each."""
    book = book_of(rules)
    derived, firings = Engine(book).run(facts)
    known = index([*facts, *derived])
    said = index(facts)
    fired = [f.rule for f in firings if not f.denial]
    assert len(fired) == len(set(fired))
    for rule_id, condition in book.conditions.items():
        free = all(_may_conclude(said.get(topic, []), value, book.many(topic)) for topic, value in book.rules[rule_id].then.items())
        assert (rule_id in fired) == (holds(condition, known) and free), rule_id


def _may_conclude(said: list[Known], value: str, many: bool) -> bool:
    """What somebody said of a topic beats what a rule would conclude about it."""
    return not any(f.denied and f.value == value or not f.denied and not many for f in said)


@given(rules=RULES, facts=FACTS, data=st.data())
@quick
def test_order_does_not_matter(rules, facts, data):
    """The same rules in another order and the same facts in another order give the same result in every detail."""
    first = Engine(book_of(rules)).run(facts)
    second = Engine(book_of(data.draw(st.permutations(rules)))).run(data.draw(st.permutations(facts)))
    assert second == first


@given(rules=RULES, facts=FACTS, other=FACTS)
@quick
def test_a_run_leaves_nothing_behind(rules, facts, other):
    """Running on other facts in between changes nothing."""
    engine = Engine(book_of(rules))
    first = engine.run(facts)
    engine.run(other)
    assert engine.run(facts) == first


@given(rules=RULES, runs=st.lists(FACTS, min_size=2, max_size=4), data=st.data())
@quick
def test_an_engine_used_before_says_what_a_fresh_one_says(rules, runs, data):
    """Also where the same is told once more: at another turn, in other words, or less surely, which the result must show."""
    book = book_of(rules)
    used = Engine(book)
    for facts in runs:
        again = [replace(fact, turn=fact.turn + 1, words="again", confidence=data.draw(st.sampled_from((0.3, 0.6, 1.0)))) for fact in facts]
        for told_now in (facts, again, facts):
            assert used.run(told_now) == Engine(book).run(told_now)


@given(rules=RULES, facts=FACTS)
@quick
def test_a_conclusion_is_as_sure_as_its_surest_way(rules, facts):
    """All of several things is as sure as the least sure, any of several as the surest; a derived fact is as sure as its surest rule."""
    book = book_of(rules)
    derived, firings = Engine(book).run(facts)
    known = index([*facts, *derived])
    for firing in firings:
        if not firing.denial:
            assert firing.confidence == _sure(book.conditions[firing.rule], known)
    for fact in derived:
        ways = [f.confidence for f in firings if book.rules[f.rule].then.get(fact.topic) == fact.value]
        assert fact.confidence == max(ways)
        assert fact.by_rule in {f.rule for f in firings if f.confidence == fact.confidence}


def _sure(condition: Condition, known: dict[str, list[Known]]) -> float:
    if isinstance(condition, All):
        return min(_sure(part, known) for part in condition.parts)
    if isinstance(condition, Any_):
        return max(_sure(part, known) for part in condition.parts)
    if isinstance(condition, Not) and isinstance(condition.inner, (All, Any_, Not)):
        inner = condition.inner
        if isinstance(inner, Not):
            return _sure(inner.inner, known)
        return _sure((Any_ if isinstance(inner, All) else All)(tuple(Not(part) for part in inner.parts)), known)
    if isinstance(condition, (Not, Unknown)):
        if isinstance(condition, Not) and isinstance(condition.inner, Unknown):  # something is known, as sure as it is
            return max((f.confidence for f in known.get(condition.inner.topic, []) if not f.denied), default=0.0)
        return 1.0 if holds(condition, known) else 0.0
    return max((f.confidence for f in known.get(condition.topic, []) if holds(condition, index([f]))), default=0.0)


@given(rules=RULES, facts=FACTS)
@quick
def test_firings_keep_the_facts_that_matched(rules, facts):
    """The facts of a firing were said or derived, are on topics of its condition, and with them alone the positive part still holds."""
    book = book_of(rules)
    derived, firings = Engine(book).run(facts)
    for firing in firings:
        assert set(firing.facts) <= {*facts, *derived}
        if not firing.denial and isinstance(book.conditions[firing.rule], (Is, Within, Denied)):
            assert firing.facts and all(holds(book.conditions[firing.rule], index([f])) for f in firing.facts)


@given(rules=RULES)
@quick
def test_layered_rules_never_feed_themselves(rules):
    """Rules that only look at earlier layers are never called a circle."""
    assert loops(book_of(rules)) == []
