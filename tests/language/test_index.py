"""The index of phrases in arrays, held to the plain way of looking each phrase up."""

import random

from hypothesis import given, settings, strategies as st

from assistant.language.index import indexed
from assistant.language.rows import rows_of
from assistant.language.word_tree import NONE, tree_of

WORDS = st.lists(st.integers(0, 5), min_size=1, max_size=4).map(tuple)


@given(st.sets(WORDS, max_size=30), st.lists(WORDS, max_size=20))
def test_the_tree_knows_just_its_sequences(sequences, others):
    """Every sequence leads to its number, no other does, and a branch that goes on is no leaf."""
    known = list(sequences)
    random.Random(1).shuffle(known)
    tree = tree_of(known)
    for words in [*known, *others]:
        node = 0
        for word in words:
            assert node == NONE or tree.leaf(node) == all(tree.after(node, w) == NONE for w in range(6))
            node = NONE if node == NONE else tree.after(node, word)
        assert (known.index(words) if words in known else NONE) == (NONE if node == NONE else tree.ends[node])


@given(st.lists(st.sets(st.integers(0, 9)), max_size=12), st.data())
def test_rows_are_the_lists_they_were_made_of(lists, data):
    """One by one, several together, and turned round."""
    import numpy as np

    rows = rows_of([sorted(each) for each in lists])
    assert [rows.row(n) for n in range(len(rows))] == [sorted(each) for each in lists]
    chosen = data.draw(st.lists(st.integers(0, len(lists) - 1), max_size=6)) if lists else []
    items, lengths = rows.together(np.array(chosen, np.int32))
    assert items.tolist() == [item for n in chosen for item in sorted(lists[n])] and lengths.tolist() == [len(lists[n]) for n in chosen]
    turned = rows.turned(10)
    assert [turned.row(item) for item in range(10)] == [[n for n, each in enumerate(lists) if item in each] for item in range(10)]


@st.composite
def phrases(draw):
    """Sequences of words, groups of them, and patterns of one to five pieces of which one at least must be there."""
    sequences = sorted(draw(st.sets(WORDS, min_size=1, max_size=12)))
    groups = draw(st.lists(st.sets(st.integers(0, len(sequences) - 1), min_size=1), min_size=1, max_size=8))
    piece = st.one_of(st.just(-1), st.integers(0, 2 * len(groups) - 1))
    patterns = draw(st.lists(st.lists(piece, max_size=4).flatmap(lambda rest: st.integers(0, len(groups) - 1).map(lambda g: [2 * g, *rest])), max_size=15))
    return sequences, groups, patterns


@settings(max_examples=300)
@given(phrases(), st.data())
def test_a_pattern_may_be_there_when_all_it_needs_is(made, data):
    """The patterns, and the sequences found of each of their groups, are those of a search through everything."""
    sequences, groups, patterns = made
    any_order = data.draw(st.sets(st.integers(0, max(len(patterns) - 1, 0)), max_size=4))
    index = indexed(sequences, groups, patterns, [0], any_order)
    spots = st.lists(st.tuples(st.integers(0, 6), st.integers(1, 3)).map(lambda spot: (spot[0], spot[0] + spot[1], 1.0)), min_size=1, max_size=3)
    found = data.draw(st.dictionaries(st.integers(0, len(sequences) - 1), spots))
    there = index.within(found)

    def follows(pieces):
        """Whether each part may begin somewhere after the one before it has ended somewhere."""
        needed = [[spot for sequence in groups[p >> 1] for spot in found.get(sequence, ())] for p in pieces if p >= 0 and not p & 1]
        return all(max(s for s, _, _ in after) >= min(e for _, e, _ in before) for before, after in zip(needed, needed[1:]))

    plain = [n for n, pieces in enumerate(patterns) if all(groups[p >> 1] & found.keys() for p in pieces if p >= 0 and not p & 1)
             and (n in any_order or follows(pieces))]
    assert there.patterns() == plain
    asked = {p >> 1 for n in plain for p in patterns[n] if p >= 0}
    of_each = there.sequences(plain)
    assert {group: sorted(of_each.get(group, [])) for group in asked} == {group: sorted(groups[group] & found.keys()) for group in asked}
    assert [index.elements(n) for n in range(len(patterns))] == [[(p >> 1, bool(p & 1)) for p in pieces] for pieces in patterns]
