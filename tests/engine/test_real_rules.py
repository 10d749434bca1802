"""The rule files as they are: the engine, another engine and plain recursion agree on random conversations."""

import random
import shutil

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.engine.run import Engine
from assistant.records import Known
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import Within, topics, walk
from assistant.rulebook.evaluate import holds, index
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from tests.engine.clips_engine import ClipsEngine
from tests.real import BOOK, conversations

CONVERSATIONS = conversations(BOOK)
real = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


@pytest.fixture(scope="module")
def ours() -> Engine:
    """The real rules, compiled once."""
    return Engine(BOOK)


@pytest.fixture(scope="module")
def theirs() -> ClipsEngine:
    """The real rules on CLIPS."""
    return ClipsEngine(BOOK)


@given(facts=CONVERSATIONS)
@real
def test_same_conclusions_as_another_engine(ours, theirs, facts):
    """Derived facts and fired rules of the real files are those of CLIPS."""
    derived, firings = ours.run(facts)
    assert ({(d.topic, d.value) for d in derived}, {f.rule for f in firings if not f.denial}) == theirs.run(facts)


@given(facts=CONVERSATIONS)
@real
def test_a_rule_fires_when_its_condition_holds(ours, facts):
    """Every rule that concludes nothing fires exactly when its condition holds over what was said and derived."""
    derived, firings = ours.run(facts)
    known = index([*facts, *derived])
    fired = {f.rule for f in firings if not f.denial}
    for rule_id, condition in BOOK.conditions.items():
        if not BOOK.rules[rule_id].then:
            assert (rule_id in fired) == holds(condition, known), rule_id
        elif rule_id in fired:
            assert holds(condition, known), rule_id


@given(facts=CONVERSATIONS, data=st.data())
@real
def test_the_order_of_facts_does_not_matter(ours, facts, data):
    """Whatever was said first, the result is the same in every detail."""
    assert ours.run(data.draw(st.permutations(facts))) == ours.run(facts)


def test_the_order_of_files_does_not_matter(tmp_path, ours):
    """With all files renamed and so read in another order, the same rules fire on the same facts and derive the same."""
    shutil.copytree(knowledge_folder(), tmp_path / "knowledge")
    dice = random.Random(4)
    for path in sorted((tmp_path / "knowledge").rglob("*.yaml")):
        path.rename(path.with_name(f"{dice.randrange(10**6):06}-{path.name}"))
    other = Engine(load(tmp_path / "knowledge"))
    assert list(other.book.rules) != list(BOOK.rules)
    for facts in _some(BOOK, 40, dice):
        assert other.run(facts) == ours.run(facts)


def _some(book: Rulebook, number: int, dice: random.Random) -> list[list[Known]]:
    """Conversations drawn with plain dice."""
    told = sorted({t for c in book.conditions.values() for t in topics(c) if book.values(t)})
    return [[Known(t, dice.choice(list(book.values(t))), None, dice.random() < 0.2, dice.choice([0.6, 1.0])) for t in dice.sample(told, 8)] for _ in range(number)]


def test_conditions_on_numbers_are_on_numbers():
    """No rule of the files compares something that is told in words with a range."""
    for condition in BOOK.conditions.values():
        for node in walk(condition):
            if isinstance(node, Within):
                assert not BOOK.facts[node.topic].values if node.topic in BOOK.facts else BOOK.checks[node.topic].reading
