"""Every place where one entry names another: for 'where is it used', and for names that no longer lead anywhere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Iterator

from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import topics

TOPIC = ("facts", "checks")  # a topic may be either


@dataclass(frozen=True, slots=True)
class Use:
    """`entry` of `kind` names `id`, which is to be found in one of `shelves`. `tail` leads to the place within the entry."""

    shelves: tuple[str, ...]
    id: str
    kind: str
    entry: str
    tail: tuple[Any, ...]
    as_: str  # what it is used as, in plain words


def uses(book: Rulebook) -> Iterator[Use]:
    """All uses, entry by entry."""
    yield from _machine(book)
    yield from _checks(book)
    yield from _faults(book)
    yield from _rules(book)
    for phrase in {p.topic: p for p in book.phrases}.values():
        yield Use(TOPIC, phrase.topic, "phrases", phrase.topic, (), "said in words")
    for measured in book.measured:
        yield Use(TOPIC, measured, "measured", measured, (), "measured")


def _many(shelf: str, names: list[str] | dict[str, Any], kind: str, entry: str, tail: tuple[Any, ...], as_: str) -> Iterator[Use]:
    for index, name in enumerate(names):
        yield Use((shelf,), name, kind, entry, (*tail, name if isinstance(names, dict) else index), as_)


def _topics(condition: Any, kind: str, entry: str, tail: tuple[Any, ...], as_: str) -> Iterator[Use]:
    for topic in sorted(topics(condition)):
        yield Use(TOPIC, topic, kind, entry, tail, as_)


def _machine(book: Rulebook) -> Iterator[Use]:
    for access in book.access.values():
        yield from _many("cautions", access.hazards, "access", access.id, ("hazards",), "hazard of the way in")
        if access.within is not None:
            yield Use(("access",), access.within, "access", access.id, ("within",), "lies within")
    for fact in book.facts.values():
        yield from _many("parts", fact.parts, "facts", fact.id, ("parts",), "needs the part")
        yield from _many("tools", fact.tools, "facts", fact.id, ("tools",), "needs the tool")
        yield from _many("sources", fact.source, "facts", fact.id, ("source",), "source")
        if fact.id in book.ask_when:
            yield from _topics(book.ask_when[fact.id], "facts", fact.id, ("ask-when",), "asked when")
    for limit in book.limits.values():
        yield from _many("sources", limit.source, "limits", limit.id, ("source",), "source")
        if limit.manual:
            yield Use(("facts",), limit.manual, "limits", limit.id, ("manual",), "beats the limit")
        for name, topic in limit.given.items():
            yield Use(TOPIC, topic, "limits", limit.id, ("given", name), "moves the limit")


def _checks(book: Rulebook) -> Iterator[Use]:
    for check in book.checks.values():
        yield Use(("needs",), check.need, "checks", check.id, ("need",), "need")
        yield Use(("access",), check.access, "checks", check.id, ("access",), "way in")
        for shelf, names, key, as_ in (
            ("parts", check.parts, "parts", "needs the part"), ("tools", check.tools, "tools", "needs the tool"),
            ("tools", check.instead_tools, "instead-tools", "needs the tool"), ("cautions", check.hazards, "hazards", "hazard"),
            ("faults", check.settles, "settles", "direct test for"), ("facts", check.same_as, "same-as", "same as"),
            ("sources", check.source, "source", "source"),
        ):
            yield from _many(shelf, names, "checks", check.id, (key,), as_)
        if check.reading:
            for index, band in enumerate(check.reading.bands):
                if isinstance(band.below, str):
                    yield Use(("limits",), band.below, "checks", check.id, ("reading", "bands", index, "below"), "limit of a band")
            if check.reading.uneven and isinstance(check.reading.uneven.above, str):
                yield Use(("limits",), check.reading.uneven.above, "checks", check.id, ("reading", "uneven", "above"), "limit of a band")


def _faults(book: Rulebook) -> Iterator[Use]:
    for fault in book.faults.values():
        repair = fault.repair
        yield Use(("needs",), fault.need, "faults", fault.id, ("need",), "need")
        yield Use(("access",), repair.access, "faults", fault.id, ("repair", "access"), "way in")
        yield from _many("parts", fault.parts, "faults", fault.id, ("parts",), "needs the part")
        yield from _many("tools", repair.tools, "faults", fault.id, ("repair", "tools"), "needs the tool")
        yield from _many("cautions", repair.hazards, "faults", fault.id, ("repair", "hazards"), "hazard")
        yield from _many("sources", fault.source, "faults", fault.id, ("source",), "source")
        for index, topic in enumerate(repair.renews):
            yield Use(TOPIC, topic, "faults", fault.id, ("repair", "renews", index), "renewed by the repair")
        if fault.id in book.proofs:
            yield from _topics(book.proofs[fault.id], "faults", fault.id, ("proof", "when"), "proof of cure")
        for index, (_, where) in enumerate(book.priors.get(fault.id, ())):
            if where is not None:
                yield from _topics(where, "faults", fault.id, ("per-1000", index, "when"), "moves how common it is")


def _rules(book: Rulebook) -> Iterator[Use]:
    for rule in book.rules.values():
        for shelf, names, key, as_ in (
            ("faults", rule.seen_in, "seen-in", "weighed"), ("faults", rule.how, "how", "disturbed"),
            ("parts", rule.lacks, "lacks", "lacking"), ("parts", rule.has, "has", "present"),
            ("cautions", rule.cautions, "cautions", "said"), ("rules", rule.replaces, "replaces", "replaced"),
            ("sources", rule.source, "source", "source"),
        ):
            yield from _many(shelf, names, "rules", rule.id, (key,), as_)
        if rule.blocks:
            yield from _many("cautions", rule.blocks.hazards, "rules", rule.id, ("blocks", "hazards"), "held back")
            yield from _many("checks", rule.blocks.checks, "rules", rule.id, ("blocks", "checks"), "held back")
            yield from _many("faults", rule.blocks.repairs, "rules", rule.id, ("blocks", "repairs"), "held back")
        for topic in rule.then:
            yield Use(TOPIC, topic, "rules", rule.id, ("then", topic), "concluded")
        if rule.id in book.conditions:
            yield from _topics(book.conditions[rule.id], "rules", rule.id, ("when",), "condition")
