"""Small rulebooks made in memory, at random or by hand, and random facts for them."""

from __future__ import annotations

from functools import lru_cache
from typing import Any, Iterable

from hypothesis import strategies as st

from assistant.records import Known
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import All, Any_, Condition, Denied, Is, Not, Unknown, Within
from assistant.rulebook.models import Fact, Rule

VALUES = ("a", "b", "c")
SAID = ("said-0", "said-1", "said-2", "many-0")
MADE = ("made-0", "made-1", "made-2", "made-3")
NUMBER = "number-0"


def rule(identity: str, kind: str = "evidence", **keys: Any) -> Rule:
    """A rule entry; keys with underscores stand for those with hyphens."""
    return Rule.model_validate({"id": identity, "file": "rules.yaml", "line": 1, "kind": kind, "says": "So.", "when": {},
                                **{name.replace("_", "-"): value for name, value in keys.items()}})


def fact(identity: str, many: bool = False, unit: str | None = None) -> Fact:
    """A fact with the values a, b and c, or a number."""
    told = {"unit": unit, "range": [0, 10]} if unit else {"values": dict.fromkeys(VALUES, "so"), "many": many}
    return Fact.model_validate({"id": identity, "file": "facts.yaml", "line": 1, "about": "sign", "plain": identity, **told})


def book_of(rules: Iterable[tuple[Rule, Condition]]) -> Rulebook:
    """A rulebook of these rules over the topics of this module."""
    book = Rulebook(facts={t: fact(t, many=t.startswith("many")) for t in (*SAID, *MADE)})
    book.facts[NUMBER] = fact(NUMBER, unit="V")
    for entry, condition in rules:
        book.rules[entry.id] = entry
        book.conditions[entry.id] = condition
    return book


@lru_cache(None)
def conditions(topics: tuple[str, ...], depth: int = 3) -> st.SearchStrategy[Condition]:
    """Any condition over these topics and the number, nested up to a depth."""
    topic, value = st.sampled_from(topics), st.sampled_from(VALUES)
    some = st.lists(value, min_size=1, max_size=2, unique=True).map(tuple)
    bound = st.one_of(st.none(), st.integers(0, 10).map(float))
    leaf = st.one_of(st.builds(Is, topic, some), st.builds(Is, topic, some), st.builds(Unknown, topic), st.builds(Denied, topic, some),
                     st.builds(Within, st.just(NUMBER), bound, bound, bound, bound))
    if depth == 0:
        return leaf
    inner = conditions(topics, depth - 1)
    parts = st.lists(inner, min_size=1, max_size=2).map(tuple)
    return st.one_of(leaf, st.builds(Not, inner), st.builds(All, parts), st.builds(Any_, parts))


@st.composite
def layered(draw: st.DrawFn, depth: int = 2) -> list[tuple[Rule, Condition]]:
    """Derive rules that only look at what rules before them may conclude, and evidence rules that look at anything."""
    rules = []
    for n in range(draw(st.integers(1, 6))):
        layer = min(n // 2, len(MADE) - 1)
        then = {MADE[layer]: draw(st.sampled_from(VALUES))}
        rules.append((rule(f"derive-{n}", "derive", then=then), draw(conditions((*SAID, *MADE[:layer]), depth))))
    for n in range(draw(st.integers(0, 3))):
        rules.append((rule(f"sign-{n}", seen_in={"fault": 50}, otherwise=5), draw(conditions((*SAID, *MADE), depth))))
    return rules


def told(topics: Iterable[str], numbers: Iterable[str] = (NUMBER,)) -> st.SearchStrategy[list[Known]]:
    """Things said: values and denials of topics, numbers, each with a confidence; no value is both said and denied."""
    sure = st.sampled_from([0.5, 0.7, 0.9, 1.0])
    word = st.builds(lambda t, v, d, c, n: Known(t, v, None, d, c, n, f"{t} is {v}"), st.sampled_from(tuple(topics)), st.sampled_from(VALUES),
                     st.booleans(), sure, st.integers(0, 9))
    number = st.builds(lambda t, x, c: Known(t, str(x), x, False, c, 0, str(x)), st.sampled_from(tuple(numbers)), st.integers(0, 20).map(lambda n: n / 2), sure)
    return st.tuples(st.lists(word, max_size=7), st.lists(number, max_size=1)).map(lambda pair: _consistent([*pair[0], *pair[1]]))


def _consistent(facts: list[Known]) -> list[Known]:
    kept: dict[tuple[str, str], Known] = {}
    for item in facts:
        kept.setdefault((item.topic, item.value), item)
    return list(kept.values())
