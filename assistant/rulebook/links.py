"""Ids across files: every name that one entry uses for another must exist."""

from __future__ import annotations

from typing import Iterable

from assistant.problems import nearest
from assistant.rulebook.book import WEIGHING, Rulebook
from assistant.rulebook.conditions import All, Any_, Condition, Denied, Is, Not, Unknown, Within, walk
from assistant.rulebook.shapes import near_text
from assistant.rulebook.source import Path_, Source
from assistant.rulebook.strata import cycle_of, strata

_NEEDED = {  # kind of rule -> keys it must have; all the other kind-bound keys are out of place
    "evidence": {"seen_in", "otherwise"}, "show": {"seen_in", "otherwise"}, "rule-out": {"seen_in", "otherwise"},
    "disturbed": {"seen_in", "otherwise"}, "derive": {"then"}, "applies": set(), "caution": set(),
}
_ALLOWED = {
    "evidence": {"aspect", "replaces"}, "show": {"aspect", "replaces"}, "rule-out": {"aspect", "replaces"},
    "disturbed": {"how", "aspect", "replaces"}, "derive": set(), "applies": {"lacks", "has"},
    "caution": {"cautions", "blocks", "until"},
}
_BOUND = {"seen_in", "otherwise", "then", "aspect", "replaces", "how", "lacks", "has", "cautions", "blocks", "until"}


class _Checker:
    """Holds the book and the places while one pass runs."""

    def __init__(self, book: Rulebook, places: dict[tuple[str, str], tuple[Source, Path_]]) -> None:
        self.book, self.places = book, places

    def ids(self, kind: str, entry: str, tail: Path_, names: Iterable[str], shelf: str, noun: str) -> None:
        """Complain of every name that is not an id of the shelf."""
        known = getattr(self.book, shelf)
        source, path = self.places[kind, entry]
        for index, name in enumerate(names):
            if name not in known:
                place = (*path, *tail, index) if (*path, *tail, index) in source.marks else (*path, *tail)
                if (*path, *tail, name) in source.marks:
                    place = (*path, *tail, name)
                near = nearest(name, known)
                source.complain(place, f"unknown-{noun}", f"'{name}' is not a {noun} in the knowledge files.{near_text(near)}",
                                f"write {near[0]}, or describe the new {noun} first." if near
                                else f"describe the {noun} first, or look for it under another kind.")

    def condition(self, kind: str, entry: str, tail: Path_, condition: Condition) -> None:
        """Topics and values that a condition names."""
        source, path = self.places[kind, entry]
        for node in walk(condition):
            if isinstance(node, (All, Any_, Not)):
                continue
            place = _Lazy(source, (*path, *tail), node.topic)
            if node.topic not in self.book.facts and node.topic not in self.book.checks:
                near = nearest(node.topic, [*self.book.facts, *self.book.checks])
                source.complain(place, "unknown-topic", f"'{node.topic}' is neither a fact nor a check.{near_text(near)}",
                                f"write {near[0]}." if near else "describe the fact or the check first.")
            elif isinstance(node, (Is, Denied)):
                self.values(source, place, node.topic, node.values)
            elif isinstance(node, Within) and not self._numeric(node.topic):
                source.complain(place, "not-a-number-topic", f"'{node.topic}' is told in words; a range needs a number.",
                                "compare it with one of its values.")

    def _numeric(self, topic: str) -> bool:
        fact, check = self.book.facts.get(topic), self.book.checks.get(topic)
        return bool((fact and fact.unit is not None) or (check and check.reading))

    def values(self, source: Source, place: Path_, topic: str, values: Iterable[str]) -> None:
        """Values of a topic must be declared, unless it is a number."""
        known = self.book.values(topic)
        for value in values:
            if value not in known:
                near = nearest(value, known)
                source.complain(place, "unknown-value", f"'{topic}' has no value '{value}'.{near_text(near)}",
                                f"write {near[0]}." if near else "use one of: " + (", ".join(known) or "numbers only") + ".")


class _Lazy(tuple):
    """A path that is only looked for when a complaint needs it: looking costs a walk over all marks."""

    def __new__(cls, source: Source, path: Path_, topic: str) -> "_Lazy":
        made = super().__new__(cls, path)
        made.source, made.topic = source, topic  # type: ignore[attr-defined]
        return made

    def exact(self) -> Path_:
        """The deepest marked path under this one that ends in the topic."""
        return _find(self.source, tuple(self), self.topic)  # type: ignore[attr-defined]


def _find(source: Source, path: Path_, topic: str) -> Path_:
    """The deepest marked path under `path` that ends in the topic."""
    for candidate in source.marks:
        if candidate[: len(path)] == path and candidate and candidate[-1] == topic:
            return candidate
    return path


def check(book: Rulebook, places: dict) -> None:
    """Complain of every name that leads nowhere, every key out of place, and rules that feed themselves."""
    checker = _Checker(book, places)
    _machines(checker)
    _checks(checker)
    _faults(checker)
    _rules(checker)
    _phrases(checker)
    loop = cycle_of(book)
    if loop:
        source, path = places["rules", loop[0]]
        source.complain(path, "rules-feed-themselves", "These rules feed themselves without end: "
                        + ", ".join(f"'{r}' ({book.rules[r].file}:{book.rules[r].line})" for r in loop) + ".",
                        "let one of them start from something that was said, not from what the others conclude.")
    else:
        strata(book)


def _machines(checker: _Checker) -> None:
    book, ids = checker.book, checker.ids
    for access in book.access.values():
        ids("access", access.id, ("hazards",), access.hazards, "cautions", "caution")
        if access.within is not None:
            ids("access", access.id, ("within",), [access.within], "access", "access")
            seen, here = {access.id}, access.within
            while here in book.access and book.access[here].within is not None:
                if here in seen:
                    source, path = checker.places["access", access.id]
                    source.complain((*path, "within"), "access-not-a-tree", f"'{access.id}' lies within itself.",
                                    "let every access state lie within one that is reached without it.")
                    break
                seen.add(here)
                here = book.access[here].within
    for fact in book.facts.values():
        ids("facts", fact.id, ("parts",), fact.parts, "parts", "part")
        ids("facts", fact.id, ("tools",), fact.tools, "tools", "tool")
        ids("facts", fact.id, ("source",), fact.source, "sources", "source")
        source, path = checker.places["facts", fact.id]
        if (fact.values is None) == (fact.unit is None):
            source.complain(path, "fact-without-values", f"'{fact.id}' needs either values or a unit and a range.",
                            "list its values, or give unit: and range:.")
        if fact.id in book.ask_when:
            checker.condition("facts", fact.id, ("ask-when",), book.ask_when[fact.id])
        if fact.id in book.checks:
            source.complain(path, "duplicate-id", f"'{fact.id}' is both a fact and a check.", "rename one of them.")
    for limit in book.limits.values():
        ids("limits", limit.id, ("source",), limit.source, "sources", "source")
        if limit.manual:
            ids("limits", limit.id, ("manual",), [limit.manual], "facts", "fact")
        for name, topic in limit.given.items():
            if topic not in book.checks:  # a limit may lean on another check's number
                ids("limits", limit.id, ("given", name), [topic], "facts", "fact")


def _checks(checker: _Checker) -> None:
    book, ids = checker.book, checker.ids
    for check_ in book.checks.values():
        for tail, names, shelf, noun in (
            ("need", [check_.need], "needs", "need"), ("parts", check_.parts, "parts", "part"),
            ("tools", check_.tools, "tools", "tool"), ("instead-tools", check_.instead_tools, "tools", "tool"),
            ("access", [check_.access], "access", "access"), ("hazards", check_.hazards, "cautions", "caution"),
            ("settles", check_.settles, "faults", "fault"), ("source", check_.source, "sources", "source"),
        ):
            ids("checks", check_.id, (tail,), names, shelf, noun)
        ids("checks", check_.id, ("same-as",), check_.same_as, "facts", "fact")
        source, path = checker.places["checks", check_.id]
        if not check_.outcomes:
            source.complain(path, "missing-key", "The key 'outcomes' is missing.", "list the outcome words and what each means.")
        if check_.reading:
            last: float | None = None
            for index, band in enumerate(check_.reading.bands):
                place = (*path, "reading", "bands", index)
                checker.values(source, (*place, "outcome"), check_.id, [band.outcome])
                if isinstance(band.below, str):
                    ids("checks", check_.id, ("reading", "bands", index, "below"), [band.below], "limits", "limit")
                elif band.below is not None:
                    if last is not None and band.below <= last:
                        source.complain(place, "bands-out-of-order", f"This band ends at {band.below:g}, below the one before.",
                                        "order the bands from low to high.")
                    last = band.below
                if band.below is None and index + 1 < len(check_.reading.bands):
                    source.complain(place, "bands-out-of-order", "A band without 'below' must be the last.", "give it an upper end.")
            if check_.reading.bands and check_.reading.bands[-1].below is not None:
                source.complain((*path, "reading", "bands"), "bands-out-of-order", "The last band has an upper end.",
                                "leave 'below' out of the last band.")
    for measured in book.measured.values():
        ids("measured", measured.id, (), [measured.id], "checks", "check")


def _faults(checker: _Checker) -> None:
    book, ids = checker.book, checker.ids
    for fault in book.faults.values():
        repair = fault.repair
        for tail, names, shelf, noun in (
            (("need",), [fault.need], "needs", "need"), (("parts",), fault.parts, "parts", "part"),
            (("repair", "access"), [repair.access], "access", "access"), (("repair", "tools"), repair.tools, "tools", "tool"),
            (("repair", "hazards"), repair.hazards, "cautions", "caution"), (("source",), fault.source, "sources", "source"),
        ):
            ids("faults", fault.id, tail, names, shelf, noun)
        source, path = checker.places["faults", fault.id]
        for index, topic in enumerate(repair.renews):
            if topic not in book.facts and topic not in book.checks:
                near = nearest(topic, [*book.facts, *book.checks])
                source.complain((*path, "repair", "renews", index), "unknown-topic",
                                f"'{topic}' is neither a fact nor a check.{near_text(near)}",
                                f"write {near[0]}." if near else "remove it.")
        if fault.id in book.proofs:
            checker.condition("faults", fault.id, ("proof", "when"), book.proofs[fault.id])
        for index, (_, where) in enumerate(book.priors.get(fault.id, [])):
            if where is not None:
                checker.condition("faults", fault.id, ("per-1000", index, "when"), where)


def _rules(checker: _Checker) -> None:
    book, ids = checker.book, checker.ids
    for rule in book.rules.values():
        source, path = checker.places["rules", rule.id]
        given = rule.model_fields_set & _BOUND
        for key in sorted(_NEEDED[rule.kind] - given):
            source.complain(path, "missing-key", f"A rule of kind {rule.kind} needs '{key.replace('_', '-')}'.",
                            f"add {key.replace('_', '-')}:.")
        for key in sorted(given - _NEEDED[rule.kind] - _ALLOWED[rule.kind]):
            name = key.replace("_", "-")
            source.complain((*path, name), "key-out-of-place", f"'{name}' has no meaning in a rule of kind {rule.kind}.",
                            "remove it, or change the kind.")
        if rule.kind == "applies" and not (rule.lacks or rule.has):
            source.complain(path, "missing-key", "A rule of kind applies needs 'lacks' or 'has'.", "list the parts.")
        if rule.kind == "caution" and not (rule.cautions or rule.blocks):
            source.complain(path, "missing-key", "A rule of kind caution needs 'cautions' or 'blocks'.", "say what it holds back.")
        if rule.kind == "show" and len(rule.seen_in) != 1:
            source.complain((*path, "seen-in"), "show-one-fault", "A show rule shows exactly one fault.",
                            "keep the fault it shows; use kind evidence where several explain the outcome.")
        ids("rules", rule.id, ("seen-in",), rule.seen_in, "faults", "fault")
        ids("rules", rule.id, ("how",), rule.how, "faults", "fault")
        ids("rules", rule.id, ("lacks",), rule.lacks, "parts", "part")
        ids("rules", rule.id, ("has",), rule.has, "parts", "part")
        ids("rules", rule.id, ("cautions",), rule.cautions, "cautions", "caution")
        ids("rules", rule.id, ("replaces",), rule.replaces, "rules", "rule")
        ids("rules", rule.id, ("source",), rule.source, "sources", "source")
        if rule.blocks:
            ids("rules", rule.id, ("blocks", "hazards"), rule.blocks.hazards, "cautions", "caution")
            ids("rules", rule.id, ("blocks", "checks"), rule.blocks.checks, "checks", "check")
            ids("rules", rule.id, ("blocks", "repairs"), rule.blocks.repairs, "faults", "fault")
        for topic, value in rule.then.items():
            if topic not in book.facts and topic not in book.checks:
                near = nearest(topic, [*book.facts, *book.checks])
                source.complain((*path, "then", topic), "unknown-topic", f"'{topic}' is neither a fact nor a check.{near_text(near)}",
                                f"write {near[0]}." if near else "describe the fact first.")
            else:
                checker.values(source, (*path, "then", topic), topic, [str(value)])
        if rule.id in book.conditions:
            checker.condition("rules", rule.id, ("when",), book.conditions[rule.id])


def _phrases(checker: _Checker) -> None:
    book = checker.book
    from assistant.problems import Problem  # local: only this stage makes problems without a Source

    first = next(iter(checker.places.values()))[0] if checker.places else None
    for phrase in book.phrases:
        if phrase.topic not in book.facts and phrase.topic not in book.checks:
            near = nearest(phrase.topic, [*book.facts, *book.checks])
            what, code = f"'{phrase.topic}' is neither a fact nor a check.{near_text(near)}", "unknown-topic"
        elif phrase.value not in book.values(phrase.topic):
            near = nearest(phrase.value, book.values(phrase.topic))
            what, code = f"'{phrase.topic}' has no value '{phrase.value}'.{near_text(near)}", "unknown-value"
        else:
            continue
        mend = f"write {near[0]}." if near else "describe it first, or move the phrases."
        if first is not None:
            first.problems.append(Problem(phrase.file, phrase.line, 1, "error", code, what, mend))


__all__ = ["check", "WEIGHING"]
