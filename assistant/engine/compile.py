"""Rules to one experta engine class, once for a rulebook."""

from __future__ import annotations

from typing import Any, Callable

from assistant.engine.matcher import NotingMatcher
from assistant.engine.normal import Literal, branches
from assistant.engine.shim import AS, NOT, Fact, KnowledgeEngine, P, Rule, Strategy
from assistant.rulebook.book import Rulebook
from assistant.rulebook.strata import strata


class Told(Fact):
    """A fact of the conversation. All fields are strings: experta takes 1, True and 1.0 for one value."""


def engine_for(book: Rulebook) -> "RuleEngine":
    """Compile a rulebook. The engine is built once and reset for every run; nothing depends on firing order."""
    level = strata(book)
    namespace: dict[str, Any] = {}
    for rule_id in sorted(book.conditions):
        if rule_id not in book.rules:
            continue
        for index, literals in enumerate(branches(book.conditions[rule_id])):
            namespace[f"r_{rule_id.replace('-', '_')}_{index}"] = _rule(book, rule_id, literals, -level[rule_id])
    made = type("CompiledRules", (RuleEngine,), namespace)
    engine = made()
    for name in namespace:  # the network has copies of its own
        delattr(made, name)
    return engine


class ByStratum(Strategy):
    """Lowest stratum first, in no particular order within it.

    experta's own strategy looks for a withdrawn activation in three places only. Where more than three activations are of
    one rank, as with rules that only wait for something to be absent, it stays on the agenda and fires although its
    condition no longer holds; which one does differs from run to run.
    """

    def _update_agenda(self, agenda: Any, added: list, removed: list) -> None:
        for activation in (*added, *removed):
            activation.key = activation.rule.salience
        if removed:
            gone = set(removed)
            agenda.activations = [activation for activation in agenda.activations if activation not in gone]
        if added:
            agenda.activations.extend(added)
            agenda.activations.sort(key=lambda activation: activation.key)


class RuleEngine(KnowledgeEngine):
    """Collects every match; `matches` maps a rule to the sets of facts that satisfied one of its alternatives."""

    __matcher__ = NotingMatcher
    __strategy__ = ByStratum

    def __init__(self) -> None:
        self._deffacts: list[Any] | None = None
        super().__init__()
        self.matches: dict[str, list[tuple[Told, ...]]] = {}
        self.made: dict[tuple[str, str], list[tuple[str, tuple[Told, ...]]]] = {}

    def get_deffacts(self) -> list[Any]:
        """Found once: the library looks through all rules for them at every reset."""
        if self._deffacts is None:
            self._deffacts = super().get_deffacts()
        return self._deffacts


class PlainRule(Rule):
    """A rule whose action takes everything by name. The library looks at the action's signature anew for each of the many
    copies it makes of a rule while compiling; here the copies share what was seen once."""

    def new_conditions(self, *conditions: Any) -> "PlainRule":
        """A copy with other conditions."""
        made = type(self)(*conditions, salience=self.salience)
        made._wrapped, made._wrapped_args = self._wrapped, self._wrapped_args
        made.__name__ = getattr(self, "__name__", "")
        return made


def _rule(book: Rulebook, rule_id: str, literals: tuple[Literal, ...], salience: int) -> Rule:
    patterns = []
    names = []
    present = [literal for literal in literals if not literal.absent]
    for index, literal in enumerate(present):
        name = f"fact_{index}"
        names.append(name)
        patterns.append(getattr(AS, name) << Told(**_fields(literal)))
    patterns += [NOT(Told(**_fields(literal))) for literal in literals if literal.absent]
    # What somebody said of a topic beats what a rule would conclude about it, be it another value or a denial of this one.
    for topic, value in sorted(book.rules[rule_id].then.items()):
        if not book.many(topic):
            patterns.append(NOT(Told(topic=topic, how="said", denied="no")))
        patterns.append(NOT(Told(topic=topic, value=str(value), how="said", denied="yes")))
    return PlainRule(*patterns, salience=salience)(_action(rule_id, dict(book.rules[rule_id].then)))


def _action(rule_id: str, then: dict[str, Any]) -> Callable[..., None]:
    def fire(self: RuleEngine, **found: Told) -> None:
        facts = tuple(fact for name, fact in sorted(found.items()) if name.startswith("fact_"))
        self.matches.setdefault(rule_id, []).append(facts)
        for topic, value in then.items():
            self.made.setdefault((topic, str(value)), []).append((rule_id, facts))
            self.declare(Told(topic=topic, value=str(value), denied="no", number="", how="rule"))

    return fire


def _fields(literal: Literal) -> dict[str, Any]:
    fields: dict[str, Any] = {"topic": literal.topic, "denied": "yes" if literal.denied else "no"}
    if literal.values is not None:
        fields["value"] = literal.values[0] if len(literal.values) == 1 else P(_member(frozenset(literal.values)))
    if literal.within is not None:
        within = literal.within
        fields["number"] = P(lambda text, within=within: text != "" and within.holds(float(text)))
    return fields


def _member(values: frozenset[str]) -> Callable[[str], bool]:
    return lambda value: value in values
