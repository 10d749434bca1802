"""The comparison of layers: each layer can be taken away, is missed somewhere, and is put back."""

from contextlib import ExitStack

import pytest

from assistant.dialogue.think import Mind
from tests.benchmarks.language import layers, scoped_wrong
from tests.real import BOOK

MIND = Mind(BOOK)


@pytest.mark.parametrize("number", range(len(list(layers()))))
def test_each_layer_can_be_taken_away(number):
    """With it gone messages are still read; afterwards all is as before."""
    name, changes = list(layers())[number]
    with ExitStack() as stack:
        for change in changes:
            stack.enter_context(change)
        wrong = scoped_wrong(MIND)
    assert scoped_wrong(MIND) == 0
    if name in ("plain token matching", "fuzzy, no clause or negation", "without negation", "without questions and conditions", "without other machines",
                "without plans", "without time", "without answers to one's own questions"):
        assert wrong > 0, name
