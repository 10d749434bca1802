"""Rulebooks of a few faults and weights, for published numbers."""

from __future__ import annotations

from typing import Any, Mapping

from assistant.evidence.ranking import rank
from assistant.evidence.weights import weigh
from assistant.records import Firing, Known, Ranking, Weight
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import Is
from assistant.rulebook.models import Fault, Rule, Setting


def fault(identity: str, per_1000: float = 1, parts: tuple[str, ...] = (), **keys: Any) -> Fault:
    """A fault with the least an entry needs."""
    return Fault.model_validate({"id": identity, "file": "faults.yaml", "line": 1, "need": "spark", "plain": identity, "what": "So.", "parts": list(parts),
                                 "per-1000": [{"usually": per_1000}], "repair": {"do": "Do.", "minutes": 1}, "proof": {"do": "Look.", "when": {"x": "y"}}, **keys})


def rule(identity: str, seen_in: Mapping[str, float], otherwise: float, kind: str = "evidence", **keys: Any) -> Rule:
    """A weighing rule on the fact of its own name being yes."""
    return Rule.model_validate({"id": identity, "file": "rules.yaml", "line": 1, "kind": kind, "says": "So.", "when": {identity: "yes"},
                                "seen-in": dict(seen_in), "otherwise": otherwise, **keys})


def book_of(faults: list[Fault], rules: list[Rule] = [], unlisted: float = 30.0) -> Rulebook:  # noqa: B006
    """A rulebook of these."""
    book = Rulebook(faults={f.id: f for f in faults}, rules={r.id: r for r in rules},
                    settings={"unlisted-per-1000": Setting(id="unlisted-per-1000", file="s.yaml", line=1, plain="rest", value=unlisted)})
    book.conditions = {r.id: Is(r.id, ("yes",)) for r in rules}
    book.priors = {f.id: [(line.usually, None) for line in f.per_1000] for f in faults}
    return book


def fires(book: Rulebook, *names: str, confidence: float = 1.0) -> list[Firing]:
    """Firings of these rules; a name after 'not ' is a denial."""
    return [Firing(name.removeprefix("not "), book.rules[name.removeprefix("not ")].kind, (Known(name.removeprefix("not "), "yes"),), confidence, name.startswith("not "))
            for name in names]


def ranked(book: Rulebook, firings: list[Firing], tried: Mapping[str, float] | None = None) -> Ranking:
    """The ranking after these firings, all faults being possible."""
    common = {f: lines[-1][0] for f, lines in book.priors.items()}
    return rank(book, common, weigh(book, firings, common), firings, tried)


def shares(ranking: Ranking) -> dict[str, float]:
    """Every hypothesis with its probability, the unlisted among them."""
    return {**{s.fault: s.probability for s in ranking.standings}, "unlisted": ranking.unlisted}


def of_decibans(value: float) -> float:
    """The probability of one hypothesis with even prior odds against the rest, after evidence of this weight."""
    book = book_of([fault("h", 30)])
    common = {"h": 30.0}
    return rank(book, common, (Weight("r", "h", value),), []).standings[0].probability
