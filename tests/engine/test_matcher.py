"""The matcher that is asked only about what changed finds what the library's own matcher finds."""

import random

import pytest

from assistant.dialogue.state import facts
from assistant.engine import compile as compiling
from assistant.engine.run import Engine
from assistant.engine.shim import ReteMatcher
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import load
from assistant.trainer import case_files
from assistant.trainer.told import state_of


@pytest.fixture(scope="module")
def book():
    """The knowledge files."""
    return load(knowledge_folder())


@pytest.fixture(scope="module")
def engines(book):
    """(ours, the library's) on the same rules."""
    ours = Engine(book)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(compiling.RuleEngine, "__matcher__", ReteMatcher)
        return ours, Engine(book)


def test_both_matchers_find_the_same_on_the_facts_of_the_cases(book, engines):
    """On every tenth case, and on two of them together, run in one order and then in another: no run leaves anything behind."""
    ours, library = engines
    folder = knowledge_folder()
    sets = [c.facts for path in case_files.find(folder) for c in case_files.read(book, path, path.name)[0]][::10]
    draw = random.Random(7)
    mixed = [tuple({topic: (topic, value) for topic, value in (*a, *b)}.values()) for a, b in zip(sets, draw.sample(sets, len(sets)))]
    tried = [facts(book, state_of(book, s)) for s in (*sets, *mixed)]
    assert len(tried) > 100
    expected = [library.run(s) for s in tried]
    assert [ours.run(s) for s in tried] == expected
    order = draw.sample(range(len(tried)), len(tried))
    assert [ours.run(tried[i]) for i in order] == [expected[i] for i in order]


def test_a_run_without_facts_finds_only_what_waits_for_absence(book, engines):
    """Nothing of an earlier run is left in the network."""
    ours, library = engines
    ours.run(facts(book, state_of(book, [("cranking", "none")])))
    assert ours.run(()) == library.run(())
