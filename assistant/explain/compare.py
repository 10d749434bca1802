"""Two machines, or two conversations, side by side: what is known of each, which rules fired, where each points and why."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Mapping

from assistant.explain.difference import Shift, shift
from assistant.records import Firing, Known, Ranking
from assistant.rulebook.book import Rulebook


@dataclass(frozen=True)
class View:
    """One conversation as it stands. `tried` is what failed repairs weigh against their faults, in decibans."""

    name: str
    facts: tuple[Known, ...]
    firings: tuple[Firing, ...]
    ranking: Ranking
    minutes: float
    next: str  # id of the next step, empty where there is none
    cured: str | None
    tried: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Pair:
    """What is known of one topic on either side; several values of a topic stand together."""

    topic: str
    first: tuple[Known, ...]
    second: tuple[Known, ...]

    @property
    def same(self) -> bool:
        """Whether both sides say the same, numbers included."""
        strip = lambda facts: sorted((f.value, f.denied, f.number is None, f.number or 0.0) for f in facts)  # noqa: E731
        return strip(self.first) == strip(self.second)


@dataclass(frozen=True, slots=True)
class Comparison:
    """All of it. Topics in the order machine, setting, history, work, sign, checks; faults by the higher of the two chances."""

    known: tuple[Pair, ...]
    faults: tuple[tuple[str, float | None, float | None], ...]
    unlisted: tuple[float, float]
    only_first: tuple[str, ...]  # rules that fired on one side only
    only_second: tuple[str, ...]
    shifts: tuple[Shift, ...]  # for the leader of either side: why it stands elsewhere on the other


_ORDER = ("machine", "manual", "setting", "history", "work", "sign")


def compare(book: Rulebook, first: View, second: View, most: int = 6) -> Comparison:
    """The two side by side; at most `most` faults of each."""
    topics = {f.topic for f in (*first.facts, *second.facts)}
    pairs = [Pair(t, tuple(f for f in first.facts if f.topic == t), tuple(f for f in second.facts if f.topic == t))
             for t in sorted(topics, key=lambda t: (_place(book, t), t))]
    top = {s.fault for view in (first, second) for s in view.ranking.standings[:most]}
    rows = [(f, *(s.probability if (s := v.ranking.of(f)) is not None else None for v in (first, second))) for f in top]
    rows.sort(key=lambda r: (-max(r[1] or 0.0, r[2] or 0.0), r[0]))
    fired = [{f.rule for f in v.firings} for v in (first, second)]
    leaders = dict.fromkeys(v.ranking.standings[0].fault for v in (first, second) if v.ranking.standings)
    tried = {f: (first.tried.get(f, 0.0), second.tried.get(f, 0.0)) for f in leaders}
    shifts = [s for f in leaders if (s := shift(first.ranking, second.ranking, f, tried)) is not None]
    return Comparison(tuple(pairs), tuple(rows), (first.ranking.unlisted, second.ranking.unlisted),  # type: ignore[arg-type]
                      tuple(sorted(fired[0] - fired[1])), tuple(sorted(fired[1] - fired[0])), tuple(shifts))


def _place(book: Rulebook, topic: str) -> int:
    fact = book.facts.get(topic)
    return len(_ORDER) if fact is None else _ORDER.index(fact.about)
