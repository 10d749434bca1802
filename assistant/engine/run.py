"""Facts to firings. The result is a set in a stable order: it does not depend on the order of files or facts."""

from __future__ import annotations

from typing import Iterable

from assistant.engine.compile import RuleEngine, Told, engine_for
from assistant.records import Firing, Known
from assistant.rulebook.book import WEIGHING, Rulebook

_MAX_STEPS = 20_000


class RunawayRules(RuntimeError):
    """The rules went on firing past any sensible bound; names the rules that fired most."""


class Engine:
    """A rulebook compiled, ready to be run on any number of fact sets."""

    def __init__(self, book: Rulebook) -> None:
        self.book = book
        self._engine: RuleEngine = engine_for(book)
        self._last: list[tuple] | None = None  # what the matches that the engine holds follow from

    def run(self, facts: Iterable[Known]) -> tuple[list[Known], list[Firing]]:
        """Run to quiescence.

        Returns the derived facts and the firings, both sorted. Facts that repeat a (topic, value, denied) are
        merged by the surest. Raises RunawayRules if the rules do not come to rest.
        """
        given: dict[tuple[str, str, bool], Known] = {}
        for fact in facts:
            old = given.get(fact.key())
            if old is None or _better(fact, old):
                given[fact.key()] = fact
        self._match([fact for _, fact in sorted(given.items())])
        engine = self._engine
        known = dict(given)
        derived = self._derived(known)
        firings = [self._firing(rule, sets, known) for rule, sets in engine.matches.items()]
        firings += self._denials(given, known)
        return derived, sorted(firings, key=lambda f: (f.rule, f.denial))

    def _match(self, facts: list[Known]) -> None:
        """Have the engine hold the matches of these facts. It does already where they are those of the last time: when, how surely and
        in which words something was said is nothing to a rule."""
        seen = [(*fact.key(), fact.number) for fact in facts]
        if seen == self._last:
            return
        self._last = None
        engine = self._engine
        engine.matches, engine.made = {}, {}
        engine.reset()
        if facts:
            engine.declare(*map(_told, facts))
        engine.run(_MAX_STEPS)
        if engine.agenda.activations:
            busiest = sorted(engine.matches, key=lambda r: -len(engine.matches[r]))[:3]
            raise RunawayRules("these rules do not come to rest: " + ", ".join(busiest))
        self._last = seen

    def _derived(self, known: dict[tuple[str, str, bool], Known]) -> list[Known]:
        """Add what derive rules concluded to `known`; confidence is that of the surest way to it."""
        pending = {key: list(ways) for key, ways in self._engine.made.items() if (*key, False) not in known}
        result: list[Known] = []
        while pending:
            settled = []
            for (topic, value), ways in sorted(pending.items()):
                ready = [(rule, [known[k] for k in keys]) for rule, keys in
                         ((rule, [_key(f) for f in facts]) for rule, facts in ways) if all(k in known for k in keys)]
                if len(ready) < len(ways) and any((w := _key(f)[:2]) in pending and w != (topic, value)
                                                  for _, facts in ways for f in facts):
                    continue  # another way to it is still being worked out
                if not ready:
                    continue
                rule, parents = min(ready, key=lambda way: (-_least(way[1]), way[0], [p.key() for p in way[1]]))
                fact = Known(topic, value, confidence=_least(parents), turn=max((p.turn for p in parents), default=-1),
                             words="; ".join(dict.fromkeys(p.words for p in parents if p.words)), by_rule=rule,
                             unasked=bool(parents) and all(p.unasked for p in parents))
                settled.append(((topic, value), fact))
            if not settled:
                break
            for key, fact in settled:
                del pending[key]
                known[fact.key()] = fact
                result.append(fact)
        return sorted(result, key=Known.key)

    def _firing(self, rule: str, sets: list[tuple[Told, ...]], known: dict) -> Firing:
        chains = [[known[_key(f)] for f in facts if _key(f) in known] for facts in sets]
        facts = {fact.key(): fact for chain in chains for fact in chain}
        return Firing(rule, self.book.rules[rule].kind, tuple(f for _, f in sorted(facts.items())),
                      max(_least(chain) for chain in chains))

    def _denials(self, given: dict[tuple[str, str, bool], Known], known: dict[tuple[str, str, bool], Known]) -> list[Firing]:
        """A single-value rule whose value is denied speaks by its complement, while nothing better is known, said or derived."""
        asserted = {topic for topic, _, denied in known if not denied}
        result = []
        for (topic, value, denied), fact in sorted(given.items()):
            if not denied or topic in asserted and not self.book.many(topic) or (topic, value, False) in given:
                continue
            rule = self.book.single.get(topic, {}).get(value)
            if rule is None or self.book.rules[rule].kind not in WEIGHING:
                continue
            values = getattr(self.book.conditions[rule], "values", (value,))
            parts = [given.get((topic, v, True)) for v in values]
            if all(parts) and value == values[0]:
                sure = [p for p in parts if p]
                result.append(Firing(rule, self.book.rules[rule].kind, tuple(sure), _least(sure), denial=True))
        return result


def _better(new: Known, old: Known) -> bool:
    return (new.confidence, new.turn, new.words) > (old.confidence, old.turn, old.words)


def _told(fact: Known) -> Told:
    return Told(topic=fact.topic, value=fact.value, denied="yes" if fact.denied else "no",
                number="" if fact.number is None else repr(float(fact.number)), how="said")


def _key(fact: Told) -> tuple[str, str, bool]:
    return (fact["topic"], fact["value"], fact["denied"] == "yes")


def _least(facts: list[Known]) -> float:
    return min((fact.confidence for fact in facts), default=1.0)
