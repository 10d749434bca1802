"""An action of the search as the costed option that the conversation speaks of."""

from __future__ import annotations

from assistant.planning.costs import to_open
from assistant.planning.scene import Scene
from assistant.planning.search import Action, Node, Search
from assistant.planning.situation import Situation
from assistant.records import Option
from assistant.rulebook.book import Rulebook


def option_of(book: Rulebook, scene: Scene, at: Situation, search: Search, action: Action, kind: str, name: str) -> Option:
    """Minutes, outcomes with their chances, what would be done after each, and what it saves against looking no further.

    Estimates looked at less far are the more hopeful ones; so that all can be compared they are raised by what looking
    further added to the others.
    """
    whole = search.root.mass
    expected = (action.value if action.depth > 1 or kind == "workshop" else action.near + search.hope) / whole
    saves = (search.base - action.near) / whole  # both without looking further
    if kind == "workshop":
        return Option(kind, name, expected, expected, saves)
    access = book.checks[name].access if kind == "check" else book.faults[name].repair.access if kind == "repair" else "none"
    opens = to_open(book, access, scene.opened)[1]
    if kind == "repair":
        after = (action.children or [None])[0]
        assert after is not None
        left = after.mass / whole
        outcomes = (("cured", 1 - left, 0.0), ("no-change", left, after.value / max(after.mass, 1e-12)))
        leads = (("no-change", _step(at, after)),) if after.actions else ()
        return Option(kind, name, action.cost, expected, saves, opens, outcomes, leads, 1 - left)
    words, start, test = at.outcomes[action.index], int(search.problem.start[action.index]), action.index
    known = search.problem.tests[test].known
    outcomes = tuple((word, float(search.chances[start + i]) / whole * known, _after(search, action, i)) for i, word in enumerate(words))
    leads = tuple((words[c.label - start], _step(at, c)) for c in action.children or () if c.actions and c.label >= 0)
    return Option(kind, name, action.cost, expected, saves, opens, outcomes, leads, float(search.settling[test]) / whole)


def _after(search: Search, action: Action, i: int) -> float:
    """Minutes to come after an outcome."""
    if action.children:
        child = action.children[i]
        return child.value / max(child.mass, 1e-12)
    row = int(search.problem.start[action.index]) + i
    assert search.root.values is not None
    return float(search.root.values[row] / max(search.chances[row], 1e-12))


def _step(at: Situation, node: Node) -> str:
    assert node.actions
    best = node.actions[0]
    return {"test": at.tests, "fix": at.repairs, "stop": ("workshop",)}[best.kind][best.index]


__all__ = ["option_of"]
