"""What lies around an entry: the picture of its neighbours in text that `show` prints under it."""

from __future__ import annotations

from assistant.evidence.weights import decibans
from assistant.problems import count
from assistant.rulebook.book import WEIGHING, Rulebook
from assistant.rulebook.conditions import All, Any_, Condition, Denied, Is, Not, Unknown, Within, topics

_MOST = 8


def neighbourhood(book: Rulebook, identity: str) -> list[str]:
    """Lines of text. A topic: who tells it and what each value says. A rule: its way in and out. A fault: what speaks for and against it."""
    if identity in book.rules:
        return _rule(book, identity)
    if identity in book.faults:
        return _fault(book, identity)
    if identity in book.facts or identity in book.checks:
        return _topic(book, identity)
    return []


def condition_words(condition: Condition) -> str:
    """A condition on one line."""
    if isinstance(condition, (All, Any_)):
        return "(" + (" and " if isinstance(condition, All) else " or ").join(condition_words(p) for p in condition.parts) + ")"
    if isinstance(condition, Not):
        return f"not {condition_words(condition.inner)}"
    if isinstance(condition, Is):
        return f"{condition.topic}={'|'.join(condition.values)}"
    if isinstance(condition, Denied):
        return f"denied {condition.topic}={'|'.join(condition.values)}"
    if isinstance(condition, Unknown):
        return f"{condition.topic} unknown"
    assert isinstance(condition, Within)
    bounds = ((">=", condition.at_least), (">", condition.above), ("<=", condition.at_most), ("<", condition.below))
    return condition.topic + "".join(f" {sign} {number:g}" for sign, number in bounds if number is not None)


def _weights(book: Rulebook, rule_id: str) -> list[tuple[str, float]]:
    rule = book.rules[rule_id]
    rows = [(f, decibans(seen, rule.otherwise or 50)) for f, seen in rule.seen_in.items()]
    return sorted(rows, key=lambda r: (-abs(r[1]), r[0]))


def _short(rows: list[tuple[str, float]], most: int = 4) -> str:
    text = ", ".join(f"{name} {value:+.1f}" for name, value in rows[:most])
    return text + (f", {len(rows) - most} more" if len(rows) > most else "")


def _rule(book: Rulebook, identity: str) -> list[str]:
    rule = book.rules[identity]
    lines = []
    if identity in book.conditions:
        for topic in sorted(topics(book.conditions[identity])):
            lines.append(f"  {topic} <- {_tellers(book, topic)}")
        lines.append(f"    {condition_words(book.conditions[identity])}")
    lines.append(f"      -> [{identity}]  {rule.kind}")
    if rule.kind in WEIGHING:
        lines += [f"           -> {fault}  {value:+.1f} dB" for fault, value in _weights(book, identity)[:_MOST]]
        rest = len(rule.seen_in) - _MOST
        lines += [f"           -> {rest} more"] if rest > 0 else []
    for topic, value in rule.then.items():
        lines.append(f"           -> {topic}={value} -> {_rules(list(book.rules_on.get(topic, ())))}")
    for name, parts in (("lacks", rule.lacks), ("has", rule.has), ("says", rule.cautions)):
        if parts:
            lines.append(f"           -> {name}: {', '.join(parts)}")
    by = sorted(r.id for r in book.rules.values() if identity in r.replaces)
    mates = sorted(r.id for r in book.rules.values() if rule.aspect and r.aspect == rule.aspect and r.id != identity)
    for name, ids in (("replaces", list(rule.replaces)), ("replaced by", by), (f"same aspect ({rule.aspect})", mates)):
        if ids:
            lines.append(f"  {name}: {_rules(ids)}")
    return lines


def _fault(book: Rulebook, identity: str) -> list[str]:
    rows = []
    for rule in book.rules.values():
        if rule.kind in WEIGHING and identity in rule.seen_in and rule.id in book.conditions:
            rows.append((decibans(rule.seen_in[identity], rule.otherwise or 50), rule))
    rows.sort(key=lambda r: (-r[0], r[1].id))
    lines = []
    for name, part in (("for it", [r for r in rows if r[0] > 0]), ("against it", [r for r in reversed(rows) if r[0] < 0])):
        if part:
            lines.append(f"  {name}: {count(len(part), 'rule')}")
            lines += [f"    {value:+5.1f} dB <- [{rule.id}] {rule.kind} <- {condition_words(book.conditions[rule.id])}" for value, rule in part[:_MOST]]
    tests = sorted(c.id for c in book.checks.values() if identity in c.settles)
    if tests:
        lines.append(f"  settled by: {', '.join(tests)}")
    if book.faults[identity].repair.renews:
        lines.append(f"  its repair makes new: {', '.join(book.faults[identity].repair.renews)}")
    return lines


def _topic(book: Rulebook, identity: str) -> list[str]:
    lines = [f"  {identity} <- {_tellers(book, identity)}"]
    rules = [book.rules[r] for r in book.rules_on.get(identity, ())]
    for value in book.values(identity):
        mine = [r for r in rules if _names(book.conditions[r.id], identity, value)]
        lines.append(f"    {value}" + ("" if mine else "  (no rule waits for it)"))
        single = book.single.get(identity, {}).get(value)
        for rule in sorted(mine, key=lambda r: (r.id != single, r.id))[:4]:
            ends = _short(_weights(book, rule.id)) if rule.kind in WEIGHING else ", ".join(f"{t}={v}" for t, v in rule.then.items()) or rule.kind
            lines.append(f"      -> [{rule.id}] -> {ends}")
        if len(mine) > 4:
            lines.append(f"      -> {len(mine) - 4} more rules")
    return lines


def _names(condition: Condition, topic: str, value: str) -> bool:
    if isinstance(condition, (All, Any_)):
        return any(_names(p, topic, value) for p in condition.parts)
    return isinstance(condition, Is) and condition.topic == topic and value in condition.values


def _tellers(book: Rulebook, topic: str) -> str:
    """How a topic becomes known."""
    ways = []
    phrases = sum(p.topic == topic for p in book.phrases)
    if topic in book.facts and book.facts[topic].ask:
        ways.append("a question")
    if topic in book.checks:
        ways.append("a check")
    if phrases:
        ways.append(count(phrases, "phrase"))
    if topic in book.measured:
        ways.append("a number with its name")
    makers = sorted(r.id for r in book.rules.values() if topic in r.then)
    if makers:
        ways.append(_rules(makers))
    return ", ".join(ways) or "nobody can say it"


def _rules(ids: list[str]) -> str:
    return ", ".join(f"[{i}]" for i in ids[:3]) + (f" and {len(ids) - 3} more" if len(ids) > 3 else "") if ids else "nothing"
