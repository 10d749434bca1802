"""What the answer to a question or a check would be, given each fault: read from the single-value rules of evidence."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.rulebook.book import Rulebook
from assistant.rulebook.evaluate import holds, index
from assistant.records import Known


@dataclass(frozen=True)
class Prediction:
    """For one topic: its outcomes, how likely each is with faults in general and with the listed ones, and what it says.

    `usual[o]` and `given[o][fault]` are fractions; for every fault they sum to 1 over the outcomes.
    `ratio[o][fault]` is the likelihood ratio the evidence will use, with `aspect[o]` its aspect.
    """

    topic: str
    outcomes: tuple[str, ...]
    usual: tuple[float, ...]
    given: tuple[dict[str, float], ...]
    ratio: tuple[dict[str, float], ...]
    aspect: tuple[str | None, ...]


def predictions(book: Rulebook) -> dict[str, Prediction]:
    """One prediction for every topic that somebody can be asked or can check and that would tell something."""
    result: dict[str, Prediction] = {}
    for topic, rules in book.single.items():
        outcomes = [o for o in book.values(topic)]
        if outcomes:
            result[topic] = _from_rules(book, topic, outcomes, rules)
    for fact in book.facts.values():
        if fact.shares and fact.id not in result:
            made = _from_machine(book, fact.id, fact.shares)
            if made is not None:
                result[fact.id] = made
    return result


def _from_rules(book: Rulebook, topic: str, outcomes: list[str], rules: dict[str, str]) -> Prediction:
    groups: dict[str, list[str]] = {}
    for outcome in outcomes:
        if outcome in rules:
            groups.setdefault(rules[outcome], []).append(outcome)
    faults = sorted({fault for rule in groups for fault in book.rules[rule].seen_in})
    usual = _column(book, groups, outcomes, None)
    given: list[dict[str, float]] = [{} for _ in outcomes]
    for fault in faults:
        for index_, share in enumerate(_column(book, groups, outcomes, fault)):
            given[index_][fault] = share
    ratio: list[dict[str, float]] = []
    aspects: list[str | None] = []
    for outcome in outcomes:
        rule = book.rules.get(rules.get(outcome, ""))
        aspects.append(rule.aspect if rule else None)
        ratio.append({f: seen / (rule.otherwise or 50) for f, seen in rule.seen_in.items()} if rule else {})
    return Prediction(topic, tuple(outcomes), tuple(usual), tuple(given), tuple(ratio), tuple(aspects))


def _column(book: Rulebook, groups: dict[str, list[str]], outcomes: list[str], fault: str | None) -> list[float]:
    """The chance of each outcome for one fault: what rules say, the rest shared by the outcomes no rule speaks of."""
    share = dict.fromkeys(outcomes, 0.0)
    for rule, members in groups.items():
        number = (book.rules[rule].otherwise or 50) if fault is None else book.per_100(rule, fault)
        for member in members:
            share[member] = number / 100 / len(members)
    spoken = sum(share.values())
    free = [o for o in outcomes if not any(o in members for members in groups.values())]
    if free and spoken < 1:
        for outcome in free:
            share[outcome] = (1 - spoken) / len(free)
    total = sum(share.values())
    return [share[o] / total for o in outcomes]


def _from_machine(book: Rulebook, topic: str, shares: dict[str, float]) -> Prediction | None:
    """A question about the machine: it tells by what cannot exist and by how common faults are on each kind."""
    outcomes = [v for v in (book.facts[topic].values or {}) if v in shares]
    applies = [r for r in book.rules.values() if r.kind == "applies" and r.id in book.conditions]
    weight: dict[str, dict[str, float]] = {}
    for outcome in outcomes:
        told = index([Known(topic, outcome)])
        lacks: set[str] = set()
        has: set[str] = set()
        for rule in applies:
            if holds(book.conditions[rule.id], told):
                lacks.update(rule.lacks)
                has.update(rule.has)
        lacks -= has
        for fault in book.faults.values():
            if lacks.isdisjoint(fault.parts):
                common = 0.0
                for per_1000, where in book.priors.get(fault.id, []):
                    if where is None or holds(where, told):
                        common = per_1000
                weight.setdefault(fault.id, {})[outcome] = common * shares[outcome]
    total = sum(shares[o] for o in outcomes)
    if not outcomes or not total:
        return None
    usual = [shares[o] / total for o in outcomes]
    given: list[dict[str, float]] = [{} for _ in outcomes]
    ratio: list[dict[str, float]] = [{} for _ in outcomes]
    for fault in book.faults:
        row = weight.get(fault, {})
        whole = sum(row.values())
        for i, outcome in enumerate(outcomes):
            share = row.get(outcome, 0.0) / whole if whole else usual[i]
            if abs(share - usual[i]) > 1e-6:
                given[i][fault] = share
                ratio[i][fault] = max(share / usual[i], 1e-6)
    if not any(ratio):
        return None
    return Prediction(topic, tuple(outcomes), tuple(usual), tuple(given), tuple(ratio), (None,) * len(outcomes))


__all__ = ["Prediction", "predictions"]
