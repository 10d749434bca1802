"""experta's own matcher, asked only about what changed.

The library walks every node of the network at every reset, and every rule at every new fact: with a thousand rules that
is most of a run. Here the nodes are listed once, those that were reached are noted as they are, and only they are emptied
or asked; and where a node has many followers that wait for different words in one field, a fact is handed to those
that wait for its word. What matches is worked out by the library's nodes as before.
"""

from __future__ import annotations

from typing import Any, Callable

from assistant.engine.shim import NOT, ConflictSetNode, FeatureCheck, InitialFact, L, ReteMatcher

_MANY = 4


class NotingMatcher(ReteMatcher):
    """The library's matcher with a list of its nodes, and notes of which rules were reached."""

    def __init__(self, engine: Any) -> None:
        super().__init__(engine)
        self._reached: dict[Any, None] = {}  # a dict, for its order
        self._filled: dict[Any, None] = {}
        nodes = _nodes(self.root_node)
        self._pairs = [node for node in nodes if hasattr(node, "left_memory")]
        for node in nodes:
            node.children = [child._replace(callback=self._noting(child)) if isinstance(child.node, ConflictSetNode) else child
                             for child in node.children]
        for node in nodes:
            node.children = _sorted_by_word(node.children)

    @staticmethod
    def prepare_ruleset(engine: Any) -> set[Any]:
        """The rules with what the network wants of them. They are made in normal form (see `normal`), so that the library's rewriting,
        half of the time that compiling takes, would change nothing but put the initial fact before one that only waits for absences."""
        return {rule.new_conditions(*([InitialFact()] if isinstance(rule[0], NOT) else []), *rule) for rule in engine.get_rules()}

    def changes(self, adding: Any = None, deleting: Any = None) -> tuple[list, list]:
        """Pass facts on to the network; returns the activations that appeared and those that are gone."""
        for fact in deleting or ():
            self.root_node.remove(fact)
        for fact in adding or ():
            self.root_node.add(fact)
        reached, self._reached = self._reached, {}
        added: list = []
        removed: list = []
        for node in reached:
            came, went = node.get_activations()
            added.extend(came)
            removed.extend(went)
        return added, removed

    def reset(self) -> None:
        """Empty what was filled since the last reset."""
        for node in self._pairs:
            if node.left_memory or node.right_memory:
                node._reset()
        for node in self._filled:
            node._reset()
            node.get_activations()
        self._reached, self._filled = {}, {}

    def _noting(self, child: Any) -> Callable[[Any], None]:
        node, callback = child.node, child.callback

        def note(token: Any) -> None:
            self._reached[node] = None
            self._filled[node] = None
            callback(token)

        return note


def _sorted_by_word(children: list[Any]) -> list[Any]:
    """The followers of a node, with those that wait for one word in one field put behind a single look at that field."""
    tables: dict[str, dict[Any, list[Any]]] = {}
    result = []
    for child in children:
        check = getattr(child.node, "matcher", None)
        if isinstance(check, FeatureCheck) and isinstance(check.how, L) and check.how.__bind__ is None and isinstance(check.what, str) and "__" not in check.what:
            tables.setdefault(check.what, {}).setdefault(check.how.value, []).append(child)
        else:
            result.append(child)
    for field, table in tables.items():
        waiting = [child for followers in table.values() for child in followers]
        result += waiting if len(waiting) < _MANY else [waiting[0]._replace(callback=_by_word(field, table))]
    return result


def _by_word(field: str, table: dict[Any, list[Any]]) -> Callable[[Any], None]:
    def hand_on(token: Any) -> None:
        (fact,) = token.data
        for child in table.get(fact.get(field), ()):
            child.callback(token)

    return hand_on


def _nodes(root: Any) -> list[Any]:
    """Every node of the network, once."""
    seen: dict[int, Any] = {}
    waiting = [root]
    while waiting:
        node = waiting.pop()
        if id(node) not in seen:
            seen[id(node)] = node
            waiting += [child.node for child in node.children]
    return list(seen.values())
