"""Turns of phrase of the accounts: whose words stand under a rule, limits and where they come from, reasons short and whole."""

from __future__ import annotations

from assistant.dialogue import phrasing
from assistant.dialogue.account_sums import decibans
from assistant.dialogue.cards import Line
from assistant.explain.grounds import GIVEN, Band, Edge, Ground
from assistant.explain.why import Reason
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import Within

_ORIGINS = {"manual": "your manual's figure", "computed": "worked out for this machine", "files": "a rule of thumb"}
_FEW_WORDS = 3  # an answer of fewer words says too little without the question


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def lower(text: str) -> str:
    """The text with a small first letter, unless it begins with an abbreviation."""
    return text if text[:2].isupper() else text[:1].lower() + text[1:]


def ground_words(book: Rulebook, ground: Ground, whole: bool, ranges: tuple[Within, ...] = ()) -> str:
    """Whose words, or which reading, a rule leans on; with the limit a number was judged by, the rule's own one first."""
    fact = ground.fact
    plain = phrasing.known_words(book, fact)
    if fact.topic in book.checks and fact.number is not None:
        scale = book.checks[fact.topic].reading
        own = [r for r in ranges if r.topic == fact.topic]
        if own and not whole:
            band = f"; the rule's own limit: {bounds_words(own[0])} {scale.unit if scale else ''}".rstrip()
        else:
            band = f"; {band_words(ground.band, fact.value, whole)}" if ground.band is not None else ""
        text = f"you read {phrasing.number(fact.number)} {scale.unit if scale else ''}, {fact.value.replace('-', ' ')} ({lower(phrasing.short_name(book, fact.topic))}{band})"
    elif fact.words == GIVEN:
        text = f"told at the start: {plain}"
    elif fact.words:
        text = f"you said \"{fact.words}\""
        if whole or len(fact.words.split()) < _FEW_WORDS:
            text += f" ({plain})"
    else:
        text = plain
    if ground.via:
        text += ", and so: " + "; ".join(step_words(book, rule, whole) for rule in ground.via)
    return text


def all_words(book: Rulebook, reason: Reason, whole: bool) -> str:
    """All that a rule leans on; a rule that holds while something is not known leans on nobody's words."""
    return "; ".join(dict.fromkeys(ground_words(book, g, whole, reason.ranges) for g in reason.grounds)) or "nothing was told to the contrary"


def step_words(book: Rulebook, rule_id: str, whole: bool) -> str:
    """One derive rule on the way from the words to the conclusion."""
    rule = book.rules[rule_id]
    return f"{lower(rule.says).rstrip('.')} [{rule.id}, {rule.file}:{rule.line}]" if whole else lower(rule.says).rstrip(".")


def band_words(band: Band, outcome: str, whole: bool) -> str:
    """What the number was held against, and where that limit comes from."""
    word = outcome.replace("-", " ")
    if band.apart and band.low is not None:
        text = f"more than {amount(band.low)} apart is {word}"
    elif band.low is None and band.high is not None:
        text = f"under {amount(band.high)} is {word}"
    elif band.high is None and band.low is not None:
        text = f"{amount(band.low)} or more is {word}"
    elif band.low is not None and band.high is not None:
        text = f"{phrasing.number(band.low.value)} to {amount(band.high)} is {word}"
    else:
        return f"any number is {word}"
    if whole:
        return text
    origins = list(dict.fromkeys(_ORIGINS.get(e.origin, e.origin) for e in band.edges))
    return f"{text}; {' and '.join(origins)}"


def amount(edge: Edge) -> str:
    """A limit with its unit."""
    return f"{phrasing.number(edge.value)} {edge.unit}"


def edge_words(book: Rulebook, edge: Edge) -> str:
    """One limit whole: its number, what it is, where it comes from, what went in, and its place in the files."""
    what = f"{amount(edge)}, {edge.plain}" if edge.plain else amount(edge)
    origin = _ORIGINS.get(edge.origin, edge.origin)
    if edge.given:
        origin += " from " + ", ".join(f"{book.plain(topic)} {value}" for topic, value in edge.given)
    place = f"{edge.id + ', ' if edge.id else ''}{edge.file}:{edge.line}"
    sourced = "" if edge.origin == "manual" else f"; {sources(book, edge.source)}"
    return f"Limit: {what}: {origin} [{place}{sourced}]"


def range_words(book: Rulebook, range_: Within) -> str:
    """A range that a rule itself sets: 'measure the battery at rest: at least 12.5, below 13.6 V'."""
    check, fact = book.checks.get(range_.topic), book.facts.get(range_.topic)
    unit = check.reading.unit if check is not None and check.reading is not None else (fact.unit if fact is not None else None)
    return f"{phrasing.short_name(book, range_.topic)}: {bounds_words(range_)}{' ' + unit if unit else ''}"


def bounds_words(range_: Within) -> str:
    """The bounds of a range: 'at least 12.5, below 13.6'."""
    bounds = [(range_.at_least, "at least"), (range_.above, "above"), (range_.at_most, "at most"), (range_.below, "below")]
    return ", ".join(f"{name} {phrasing.number(bound)}" for bound, name in bounds if bound is not None)


def sources(book: Rulebook, ids: tuple[str, ...]) -> str:
    """Sources in plain words."""
    return ", ".join(book.sources[s].plain if s in book.sources else s for s in ids) or "no source given"


def short_reason(book: Rulebook, reason: Reason) -> Line:
    """One rule for a person: for or against, the words, what it says; the numbers and the place after that."""
    side = "For" if reason.decibans > 0 else "Against"
    words = all_words(book, reason, False)
    turned = "The other way round here: " if reason.denial else ""
    return ("because", f"{side}: {words}. {turned}{reason.says} ({frequencies(reason)}; {decibans(reason.decibans)}) [{reason.rule}, {reason.file}:{reason.line}]")


def whole_reason(book: Rulebook, reason: Reason, covering: str = "") -> list[Line]:
    """One rule with all there is to it: message, weight, words, chain, mechanism, limits, numbers, place and source."""
    when = f"Message {reason.turn + 1}" if reason.turn >= 0 else "At the start"
    words = all_words(book, reason, True)
    turned = "The opposite was said, so it counts by the complement: " if reason.denial else ""
    sure = f" Taken as {reason.confidence:.2f} sure." if reason.confidence < 0.995 else ""
    because = f" Because: {lower(reason.because)}" if reason.because else ""
    weight = decibans(reason.decibans) if reason.counts else f"({decibans(reason.decibans)}, not counted: {covering})"
    lines: list[Line] = [("because", f"{when}, {weight}: {words}. {turned}{reason.says}{because}{sure} {capital(frequencies(reason))}. "
                          f"[{reason.rule}, {reason.file}:{reason.line}; {sources(book, reason.source)}]")]
    edges = list(dict.fromkeys(e for g in reason.grounds if g.band is not None for e in g.band.edges))
    lines += [("because", edge_words(book, edge)) for edge in edges]
    lines += [("because", f"The rule's own limit: {range_words(book, r)} [{reason.file}:{reason.line}]") for r in reason.ranges]
    return lines


def frequencies(reason: Reason) -> str:
    """Natural frequencies with one denominator, and how much more they count for being told unasked."""
    unasked = f", told unasked: counts {phrasing.number(reason.emphasis)} times" if reason.emphasis > 1.005 else ""
    return f"{phrasing.number(reason.seen)} of 100 with this fault, {phrasing.number(reason.otherwise)} of 100 others{unasked}"
