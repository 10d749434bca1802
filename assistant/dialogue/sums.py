"""Questions about what a number should be: the computation's answer with its formula, inputs, spread and source."""

from __future__ import annotations

from assistant.dialogue.cards import Line
from assistant.dialogue.think import Thinking
from assistant.language.quantities import Quantity, convert, quantities, units_named
from assistant.rulebook.book import Rulebook
from assistant.trade.question import ANY_UNIT, UNIT_OF_NUMBER, UNIT_WANTED

_SENSES = {"least": "It should reach", "most": "It should not pass", "expected": "It should be about", "value": "About"}
_BAR = 31


def reply(book: Rulebook, thinking: Thinking, computation_id: str, words: str) -> list[Line]:
    """The number, what it was made from, and where it comes from; or the one sentence that says what is missing."""
    from assistant.trade import catalogue  # late: most conversations ask for no computation
    from assistant.trade.result import compare

    try:
        computation = catalogue.find(computation_id)
    except ValueError:
        return [("note", "I cannot reckon that.")]
    reading, given = _inputs(computation, words, thinking)
    manual = _manual(computation, thinking)
    try:
        estimate = catalogue.answer(computation, given, manual)
    except (ValueError, TypeError) as error:
        return [("note", f"{str(error)[:1].upper()}{str(error)[1:]}.")]
    number = lambda value: f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"  # noqa: E731
    spread = f" ({number(estimate.low)} to {number(estimate.high)})" if estimate.high > estimate.low and estimate.high != float("inf") else ""
    unit = f" {estimate.unit}" if estimate.unit else ""
    lines: list[Line] = []
    if reading is not None:
        held = compare(reading, estimate)
        good = (held.side == "above") == (computation.sense == "least") if computation.sense in ("least", "most") else None
        verdict = "too close to call" if held.borderline else {True: "yes, enough" if computation.sense == "least" else "no, not too much",
                                                               False: "no, too low" if computation.sense == "least" else "yes, too high",
                                                               None: f"{held.side} what is expected"}[good]
        lines.append(("next", f"{number(reading)}{unit}: {verdict}. {_SENSES[computation.sense]} {number(estimate.value)}{unit}{spread}."))
        lines.append(("bar", bar(reading, estimate.low, estimate.value, estimate.high)))
    else:
        lines.append(("next", f"{_SENSES[computation.sense]} {number(estimate.value)}{unit}{spread}."))
    if estimate.note:
        lines.append(("note", _sentence(estimate.note)))
    lines.append(("because", f"Reckoned so: {_sentence(estimate.formula)}"))
    if estimate.inputs:
        lines.append(("because", "With: " + "; ".join(i.text() for i in estimate.inputs) + "."))
    lines.append(("because", "Source: " + ", ".join(book.sources[s].plain if s in book.sources else s.replace("-", " ") for s in estimate.source) + "."))
    return lines


def bar(reading: float, low: float, value: float, high: float) -> str:
    """A reading (x) against a limit (|) and its spread (=), in plain characters, with the ends labelled."""
    ends = [v for v in (reading, low, value, high) if v not in (float("inf"), float("-inf"))]
    least, most = min(ends), max(ends)
    margin = (most - least) * 0.15 or abs(value) * 0.1 or 1.0
    least, most = least - margin, most + margin

    def place(at: float) -> int:
        return min(_BAR - 1, max(0, round((at - least) / (most - least) * (_BAR - 1))))

    cells = ["-"] * _BAR
    for i in range(place(low), place(min(high, most)) + 1):
        cells[i] = "="
    cells[place(value)] = "|"
    cells[place(reading)] = "x"
    return f"{least:.3g} {''.join(cells)} {most:.3g}"


def _inputs(computation, words: str, thinking: Thinking) -> tuple[float | None, dict]:
    """The reading to be judged, if the question has one, and the arguments: said in the question, or known already."""
    said = [q for q in quantities(words) if q.kind in ("measure", "bare")]
    if any(a.unit == ANY_UNIT for a in computation.arguments):
        return None, _units(computation, words, said)
    given: dict = {}
    reading = None
    if computation.sense in ("least", "most", "expected"):
        for quantity in said:
            value = _as(quantity, computation.unit)
            if value is not None and (quantity.unit is not None or computation.sense != "expected"):
                reading = value
                said.remove(quantity)
                break
    for argument in computation.arguments:
        fitting = [q for q in said if q.unit is not None and argument.unit and _as(q, argument.unit) is not None]
        if argument.many and fitting:
            given[argument.name] = [_as(q, argument.unit) for q in fitting]
            said = [q for q in said if q not in fitting]
        elif fitting:
            given[argument.name] = _as(fitting[0], argument.unit)
            said.remove(fitting[0])
    for argument in sorted(computation.arguments, key=lambda a: (not a.needed, a.unit != "C")):
        if said and argument.name not in given and not argument.choices and (argument.needed or argument.unit == "C"):
            if argument.many:
                given[argument.name], said = [q.number for q in said], []
            else:
                given[argument.name] = said.pop(0).number
    known = {f.topic: f for f in thinking.known if not f.denied}
    for argument in computation.arguments:
        if argument.name not in given and argument.topic in known and not argument.many:
            fact = known[argument.topic]
            if fact.number is not None:
                given[argument.name] = fact.number
            elif argument.choices and fact.value in argument.choices:
                given[argument.name] = fact.value
    return reading, given


def _units(computation, words: str, said: list[Quantity]) -> dict:
    """A number with whatever unit it has, and the unit that it is wanted in."""
    measured = [q for q in said if q.unit is not None]
    wanted = units_named(words)
    parts = {ANY_UNIT: measured[0].value if measured else None, UNIT_OF_NUMBER: measured[0].unit if measured else None,
             UNIT_WANTED: wanted[0] if wanted else None}
    return {a.name: parts[a.unit] for a in computation.arguments if parts.get(a.unit) is not None}


def _as(quantity: Quantity, unit: str) -> float | None:
    if quantity.unit is None:
        return quantity.number
    return convert(quantity.value, quantity.unit, unit)


def _manual(computation, thinking: Thinking) -> float | None:
    if not computation.manual:
        return None
    return next((f.number for f in thinking.known if f.topic == computation.manual and not f.denied), None)


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if text.endswith(".") else text + "."
