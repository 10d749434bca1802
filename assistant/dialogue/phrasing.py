"""Small turns of phrase that several answers share: chances, minutes, facts in plain words."""

from __future__ import annotations

from assistant.records import Known, Reading, Statement
from assistant.rulebook.book import Rulebook


def chance(probability: float) -> str:
    """A probability as a natural frequency with one denominator, and no false precision at the ends."""
    if probability >= 0.985:
        return "nearly certain"
    if probability < 0.015:
        return "under 2 in 100"
    if probability < 0.095:
        return f"about {round(probability * 100)} in 100"
    if probability > 0.945:
        return f"about {round(probability * 100)} in 100"
    return f"about {round(probability * 10)} in 10"


def minutes(value: float) -> str:
    """Minutes as a person says them."""
    if value < 1:
        return "under a minute"
    if value < 90:
        return f"{round(value)} min"
    hours = value / 60
    return f"{hours:.1f} h".replace(".0 h", " h")


def number(value: float) -> str:
    """A number without needless digits."""
    return f"{value:.4g}" if abs(value) < 10000 else f"{value:.0f}"


def short_name(book: Rulebook, topic: str) -> str:
    """A topic as a noun: what people call a check ('resting voltage'), where its plain name is a thing to do."""
    check = book.checks.get(topic)
    return check.called[0] if check is not None and check.called else book.plain(topic)


def known_words(book: Rulebook, fact: Known) -> str:
    """A fact in plain words: 'battery at rest: 11.4 V, low', 'fuel level: not empty'."""
    name = short_name(book, fact.topic)
    if fact.topic in book.checks:
        scale = book.checks[fact.topic].reading
        if fact.number is not None and scale:
            return f"{name}: {number(fact.number)} {scale.unit}, {fact.value.replace('-', ' ')}"
        return f"{name}: {fact.value.replace('-', ' ')}"
    entry = book.facts.get(fact.topic)
    if entry is not None and entry.unit is not None:
        return f"{name}: {fact.value} {entry.unit}"
    gloss = (book.values(fact.topic).get(fact.value) or fact.value.replace("-", " ")).rstrip(".")
    return f"{name}: not so: {gloss}" if fact.denied else f"{name}: {gloss}"


def item_words(book: Rulebook, item: Statement | Reading, judged: str | None = None) -> str:
    """What was heard, in plain words, from one statement or reading."""
    if isinstance(item, Statement):
        return known_words(book, Known(item.fact, str(item.value), None, item.denied)) + (" (before)" if item.when == "before" else "")
    name = short_name(book, item.check)
    where = f" {item.where}" if item.where else ""
    if item.value is not None:
        verdict = f", {judged.replace('-', ' ')}" if judged else ""
        return f"{name}{where}: {number(item.value)} {item.unit or ''}".rstrip() + verdict
    return f"{name}: {(item.outcome or '').replace('-', ' ')}"
