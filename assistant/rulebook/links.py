"""Ids across files: every name that one entry uses for another must exist. Rules have their own pass, `rule_links`."""

from __future__ import annotations

from typing import Iterable

from assistant.problems import count
from assistant.rulebook import computations, rule_links
from assistant.rulebook.book import ANOTHER, Rulebook
from assistant.rulebook.checker import Checker, Places
from assistant.rulebook.models import Check
from assistant.rulebook.source import Path_, Source


def check(book: Rulebook, places: Places, sources: Iterable[Source]) -> None:
    """Complain of every name that leads nowhere, every key out of place, and rules that feed themselves."""
    checker = Checker(book, places, sources)
    _access(checker)
    _facts(checker)
    _limits(checker)
    _checks(checker)
    _faults(checker)
    _phrases(checker)
    rule_links.check(checker)


def _access(checker: Checker) -> None:
    book = checker.book
    for access in book.access.values():
        checker.ids("access", access.id, ("hazards",), access.hazards, "cautions", "caution")
        if access.within is None:
            continue
        checker.ids("access", access.id, ("within",), [access.within], "access", "access")
        trail, here = [access.id], access.within
        while here in book.access and here not in trail:
            trail.append(here)
            here = book.access[here].within or ""
        if here == access.id and access.id == min(trail):  # said once for the whole circle
            source, path = checker.places["access", access.id]
            round_ = " within ".join(f"'{name}'" for name in [*trail, access.id])
            source.complain((*path, "within"), "access-not-a-tree", f"This lies within itself: {round_}.",
                            "let one of them lie within a state that is reached without it.")


def _facts(checker: Checker) -> None:
    book = checker.book
    for fact in book.facts.values():
        checker.ids("facts", fact.id, ("parts",), fact.parts, "parts", "part")
        checker.ids("facts", fact.id, ("beside",), fact.beside, "facts", "fact")
        checker.ids("facts", fact.id, ("tools",), fact.tools, "tools", "tool")
        checker.ids("facts", fact.id, ("source",), fact.source, "sources", "source")
        source, path = checker.places["facts", fact.id]
        if bool(fact.values) == (fact.unit is not None):
            source.complain(path, "fact-without-values", f"'{fact.id}' has {'both values and a unit' if fact.values else 'neither values nor a unit'}; "
                            "a fact is told in words or as a number.", "list its values, or give unit: and range:, not both.")
        elif fact.unit is not None and fact.range is None:
            source.complain(path, "missing-key", "A fact with a unit needs 'range'.", "add range: [lowest, highest].")
        _range(source, (*path, "range"), fact.range)
        for value in fact.shares:
            if fact.values:
                checker.values(source, (*path, "shares", value), fact.id, [value])
        for value in fact.codes:
            checker.values(source, (*path, "codes", value), fact.id, [value])
        if fact.id in book.ask_when:
            checker.condition("facts", fact.id, ("ask-when",), book.ask_when[fact.id])
        if fact.id in book.checks:
            other = book.checks[fact.id]
            source.complain(path, "duplicate-id", f"'{fact.id}' is a fact here and a check at {other.file}:{other.line}; conditions could mean either.",
                            "rename one of them.")


def _range(source: Source, place: Path_, bounds: tuple[float, float] | None) -> None:
    if bounds is not None and bounds[0] >= bounds[1]:
        source.complain(place, "range-upside-down", f"This range ends at {bounds[1]:g}, not above its start at {bounds[0]:g}.", "write the lower number first.")


def _limits(checker: Checker) -> None:
    book = checker.book
    for limit in book.limits.values():
        checker.ids("limits", limit.id, ("source",), limit.source, "sources", "source")
        if limit.manual:
            checker.ids("limits", limit.id, ("manual",), [limit.manual], "facts", "fact")
        for name, topic in limit.given.items():
            if topic not in book.checks:  # a limit may lean on another check's number
                checker.ids("limits", limit.id, ("given", name), [topic], "facts", "fact")
        trouble = computations.trouble(limit.computed_by, limit.given) if limit.computed_by else None
        if trouble:
            source, path = checker.places["limits", limit.id]
            source.complain((*path, "computed-by"), "unknown-computation", trouble + " The plain value is used.",
                            "write the name and the arguments of a function in assistant/trade, or remove the line.", "warning")


def _checks(checker: Checker) -> None:
    book = checker.book
    for check_ in book.checks.values():
        for tail, names, shelf, noun in (
            ("need", [check_.need], "needs", "need"), ("parts", check_.parts, "parts", "part"),
            ("tools", check_.tools, "tools", "tool"), ("instead-tools", check_.instead_tools, "tools", "tool"),
            ("access", [check_.access], "access", "access"), ("hazards", check_.hazards, "cautions", "caution"),
            ("settles", check_.settles, "faults", "fault"), ("source", check_.source, "sources", "source"),
            ("same-as", check_.same_as, "facts", "fact"),
        ):
            checker.ids("checks", check_.id, (tail,), names, shelf, noun)
        if check_.id in book.ask_when:
            checker.condition("checks", check_.id, ("offer-when",), book.ask_when[check_.id])
        source, path = checker.places["checks", check_.id]
        if not check_.outcomes:
            source.complain(path, "missing-key", "The key 'outcomes' is missing.", "list the outcome words and what each means.")
        elif check_.reading:
            _reading(checker, check_, source, (*path, "reading"))
    for measured in book.measured.values():
        if measured.id not in book.facts:
            checker.ids("measured", measured.id, (), [measured.id], "checks", "check")


def _reading(checker: Checker, check_: Check, source: Source, path: Path_) -> None:
    scale = check_.reading
    assert scale is not None
    _range(source, (*path, "range"), scale.range)
    if not scale.bands:
        source.complain(path, "missing-key", "A reading needs 'bands', or no number of it means anything.",
                        "add bands: from low to high, each with its outcome.")
    last: float | None = None
    for index, band in enumerate(scale.bands):
        place = (*path, "bands", index)
        checker.values(source, (*place, "outcome"), check_.id, [band.outcome])
        final = index + 1 == len(scale.bands)
        if isinstance(band.below, str):
            checker.ids("checks", check_.id, ("reading", "bands", index, "below"), [band.below], "limits", "limit")
        elif band.below is not None:
            if last is not None and band.below <= last:
                source.complain(place, "bands-out-of-order", f"This band ends at {band.below:g}, not above {last:g} where one before it ends.",
                                "order the bands from low to high.")
            last = band.below
        if band.below is None and not final:
            source.complain(place, "bands-out-of-order", "This band has no upper end, so the bands after it are never reached.",
                            "give it below:, or put it last.")
        if band.below is not None and final:
            source.complain(place, "bands-out-of-order", "The last band has an upper end, so what lies above it has no outcome.",
                            "leave 'below' out of the last band.")
    if scale.normal is not None:
        checker.values(source, (*path, "normal"), check_.id, [scale.normal])
    if scale.uneven is not None:
        checker.values(source, (*path, "uneven", "outcome"), check_.id, [scale.uneven.outcome])
        if isinstance(scale.uneven.above, str):
            checker.ids("checks", check_.id, ("reading", "uneven", "above"), [scale.uneven.above], "limits", "limit")


def _faults(checker: Checker) -> None:
    book = checker.book
    for fault in book.faults.values():
        repair = fault.repair
        for tail, names, shelf, noun in (
            (("need",), [fault.need], "needs", "need"), (("parts",), fault.parts, "parts", "part"),
            (("repair", "access"), [repair.access], "access", "access"), (("repair", "tools"), repair.tools, "tools", "tool"),
            (("repair", "hazards"), repair.hazards, "cautions", "caution"), (("source",), fault.source, "sources", "source"),
        ):
            checker.ids("faults", fault.id, tail, names, shelf, noun)
        source, path = checker.places["faults", fault.id]
        for index, topic in enumerate(repair.renews):
            checker.topic(source, (*path, "repair", "renews", index), topic)
        if fault.id in book.proofs:
            checker.condition("faults", fault.id, ("proof", "when"), book.proofs[fault.id])
        lines = book.priors.get(fault.id, [])
        for index, (_, where) in enumerate(lines):
            if where is not None:
                checker.condition("faults", fault.id, ("per-1000", index, "when"), where)
        if lines and all(where is not None for _, where in lines):
            source.complain((*path, "per-1000"), "prior-only-sometimes", f"Every line of '{fault.id}' has a condition ({count(len(lines), 'line')}); "
                            "where none holds, the fault is left out altogether.",
                            "add a first line without 'when', or say by 'parts' on which machines it exists.", "warning")


def _phrases(checker: Checker) -> None:
    told: set[Path_] = set()
    for phrase in checker.book.phrases:
        source = checker.sources[phrase.file]
        kind = "beliefs" if phrase.belief else "phrases"
        for place in ((kind, phrase.topic), (kind, phrase.topic, phrase.value)):
            key = (phrase.file, *place)
            if key in told:
                continue
            told.add(key)
            if len(place) == 2:
                known = checker.topic(source, place, phrase.topic)
                if not known:
                    break
            elif phrase.value != ANOTHER and (phrase.topic in checker.book.facts or phrase.topic in checker.book.checks):
                checker.values(source, place, phrase.topic, [phrase.value])
