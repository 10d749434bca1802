"""The same rules on CLIPS: an engine of other people, told each condition as it stands, not as our compiler rewrites it."""

from __future__ import annotations

import itertools
from typing import Iterable

import clips

from assistant.records import Known
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import All, Any_, Condition, Denied, Is, Not, Unknown, Within


class ClipsEngine:
    """A rulebook on CLIPS. `run` gives the facts derived and the rules that fired, both as sets."""

    def __init__(self, book: Rulebook) -> None:
        self._env = clips.Environment()
        self._env.build("(deftemplate told (slot topic) (slot value) (slot denied) (slot number) (slot how))")
        self._env.build("(deftemplate fired (slot rule))")
        self._names = itertools.count()
        level = _levels(book)
        for rule_id, condition in book.conditions.items():
            then = book.rules[rule_id].then
            guards = [f"(not (told (topic {_text(t)}) (how said) (denied no)))" for t in then if not book.many(t)]
            guards += [f"(not (told (topic {_text(t)}) (value {_text(v)}) (how said) (denied yes)))" for t, v in then.items()]
            makes = [f"(assert (told (topic {_text(t)}) (value {_text(v)}) (denied no) (number none) (how rule)))" for t, v in then.items()]
            self._env.build(f"(defrule r{next(self._names)} (declare (salience {-level[rule_id]})) {self._pattern(condition)} {' '.join(guards)} "
                            f"=> (assert (fired (rule {_text(rule_id)}))) {' '.join(makes)})")

    def run(self, facts: Iterable[Known]) -> tuple[set[tuple[str, str]], set[str]]:
        """({(topic, value)} derived beyond what was said, {rule ids})."""
        self._env.reset()
        said = set()
        for fact in facts:
            number = "none" if fact.number is None else repr(float(fact.number))
            self._env.assert_string(f"(told (topic {_text(fact.topic)}) (value {_text(fact.value)}) (denied {'yes' if fact.denied else 'no'}) (number {number}) (how said))")
            if not fact.denied:
                said.add((fact.topic, fact.value))
        self._env.run()
        made, fired = set(), set()
        for item in self._env.facts():
            if item.template.name == "fired":
                fired.add(str(item["rule"]))
            elif item.template.name == "told" and str(item["how"]) == "rule":
                made.add((str(item["topic"]), str(item["value"])))
        return made - said, fired

    def _pattern(self, condition: Condition) -> str:
        if isinstance(condition, Not):
            return f"(not (and {self._pattern(condition.inner)}))"
        if isinstance(condition, (All, Any_)):
            return f"({'and' if isinstance(condition, All) else 'or'} {' '.join(map(self._pattern, condition.parts))})"
        topic = f"(topic {_text(condition.topic)})"
        if isinstance(condition, Unknown):
            return f"(not (told {topic} (denied no)))"
        if isinstance(condition, (Is, Denied)):
            return f"(told {topic} (value {'|'.join(map(_text, condition.values))}) (denied {'yes' if isinstance(condition, Denied) else 'no'}))"
        assert isinstance(condition, Within)
        name = f"?n{next(self._names)}"
        tests = [f"({sign} {name} {bound})" for sign, bound in ((">=", condition.at_least), (">", condition.above), ("<=", condition.at_most), ("<", condition.below))
                 if bound is not None]
        return f"(told {topic} (denied no) (number {name}&:(and (numberp {name}) {' '.join(tests) or '(numberp ' + name + ')'})))"


def _text(word: str) -> str:
    return '"' + word.replace('"', "'") + '"'


def _levels(book: Rulebook) -> dict[str, int]:
    """A stratum for each rule, by raising levels until nothing rises: not the way the product reckons them."""
    derives = [r for r in book.conditions if book.rules[r].then]
    level = dict.fromkeys(derives, 0)
    for _ in range(len(derives) + 1):
        for rule in derives:
            for other in derives:
                for topic, value in book.rules[other].then.items():
                    for silent in _uses(book.conditions[rule], topic, value):
                        level[rule] = max(level[rule], level[other] + silent)
    last = max(level.values(), default=0) + 1
    return {rule: level.get(rule, last) for rule in book.conditions}


def _uses(condition: Condition, topic: str, value: str, under_not: bool = False) -> list[bool]:
    if isinstance(condition, Not):
        return _uses(condition.inner, topic, value, not under_not)
    if isinstance(condition, (All, Any_)):
        return [use for part in condition.parts for use in _uses(part, topic, value, under_not)]
    if isinstance(condition, Is) and condition.topic == topic and value in condition.values:
        return [under_not]
    return [not under_not] if isinstance(condition, Unknown) and condition.topic == topic else []
