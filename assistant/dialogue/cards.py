"""The parts of an answer as (role, text) lines: what was heard, where it points, the step, its cautions.

Plain sentences without widths or colours; the terminal and the job sheet lay them out.
"""

from __future__ import annotations

from typing import Iterable

from assistant.dialogue import phrasing
from assistant.dialogue.state import State
from assistant.dialogue.think import Thinking
from assistant.planning.costs import Prices, check_minutes
from assistant.planning.safety import all_hazards
from assistant.planning.scene import Scene
from assistant.records import Known, Option, Reading, Statement
from assistant.rulebook.book import Rulebook
from assistant.rulebook.models import Rule

Line = tuple[str, str]
_SIGNALS = {"DANGER": 0, "WARNING": 1, "CAUTION": 2}


def brought_about(book: Rulebook, state: State, thinking: Thinking) -> list[Rule]:
    """The rules of caution that fired on something told in this very message."""
    return [book.rules[firing.rule] for firing in thinking.firings if firing.kind == "caution" and any(fact.turn == state.turn - 1 for fact in firing.facts)]


def alarm(book: Rulebook, state: State, thinking: Thinking) -> list[Line]:
    """What to do at once, where this very message tells of somebody in danger; empty otherwise."""
    lines: list[Line] = []
    for rule in brought_about(book, state, thinking):
        if rule.alarm:
            lines += [("alarm", rule.says), *(("step", step) for step in rule.alarm)]
    return [*lines, ("note", "Nothing else counts until then. When everybody is safe, we go on where we stopped.")] if lines else []


def heard(book: Rulebook, state: State, thinking: Thinking) -> list[Line]:
    """What was understood of the last message, doubtful things marked, and what was not."""
    judged = {f.topic: f.value for f in thinking.facts if f.number is not None and f.topic in book.checks}
    lines: list[Line] = []
    parts = []
    for item in (*state.heard.statements, *state.heard.readings):
        text = phrasing.item_words(book, item, judged.get(item.check) if isinstance(item, Reading) else None)
        if item.confidence < 0.65 and not (isinstance(item, Statement) and item.when == "before"):
            text += " (not sure)"
        if text not in parts:
            parts.append(text)
    if parts:
        lines.append(("heard", "; ".join(parts)))
    impossible = [i for i in state.heard.readings if i.value is not None and i.check not in judged and book.checks[i.check].reading
                  and book.checks[i.check].reading.bands]  # type: ignore[union-attr]
    for item in impossible:
        scale = book.checks[item.check].reading
        assert scale is not None
        lines.append(("note", f"{phrasing.number(item.value or 0)} {item.unit or ''} cannot be right for: {book.plain(item.check)} "
                      f"({phrasing.number(scale.range[0])} to {phrasing.number(scale.range[1])} {scale.unit}). "
                      "Look at the meter's range and probes, and tell me again."))
    borderline = [f for f in thinking.facts if f.topic in book.checks and f.number is not None and f.confidence < 0.84
                  and any(r.check == f.topic for r in state.heard.readings)]
    for fact in borderline:
        lines.append(("note", f"{phrasing.known_words(book, fact)}: that is on the edge, so it weighs less. Measure it twice if you can."))
    missed = [u.words for u in state.heard.not_understood]
    if missed and len(state.text) < 400:
        lines.append(("missed", "; ".join(f"\"{m}\"" for m in missed[:3])))
    elif missed:
        lines.append(("missed", f"{len(missed)} other remarks"))
    return lines


def points(book: Rulebook, thinking: Thinking, most: int = 3) -> list[tuple[str, str, float]]:
    """Where it points: (plain name, chance and standing in words, probability), the likeliest first, then the unlisted."""
    rows = []
    for standing in thinking.ranking.standings[:most]:
        if standing.probability < 0.02 and rows:
            break
        word = standing.standing if standing.standing in ("shown", "likely", "repaired") else ""
        text = phrasing.chance(standing.probability) + (f", {word}" if word else "")
        rows.append((book.faults[standing.fault].plain, text, standing.probability))
    rest = 1 - sum(r[2] for r in rows)
    if rest > 0.02:
        rows.append(("something else", phrasing.chance(rest), rest))
    return rows


def cautions(book: Rulebook, hazards: Iterable[str], said: Iterable[str] = ()) -> list[Line]:
    """One line for each hazard, the gravest first; each says signal word, hazard, harm, and how to avoid it."""
    entries = [book.cautions[h] for h in dict.fromkeys([*hazards, *said]) if h in book.cautions]
    entries.sort(key=lambda c: (_SIGNALS[c.signal], c.id))
    return [("caution", f"{c.signal}: {c.hazard} {c.harm} {c.avoid}") for c in entries]


def check_card(book: Rulebook, thinking: Thinking, option: Option, scene: Scene, prices: Prices) -> list[Line]:
    """A check as a person needs it: cautions, way in, steps, then what each outcome will mean."""
    check = book.checks[option.id]
    cost = check_minutes(book, prices, check, scene)
    substitute = bool(cost and cost[1])
    needs = _tools(book, check.instead_tools if substitute else check.tools)
    lines: list[Line] = [("next", f"{_capital(check.plain)} ({phrasing.minutes(_plain_minutes(book, check.minutes, option.opens))}"
                          f"{', with ' + needs if needs else ', no tools'}).")]
    said = [c for f in thinking.firings if f.kind == "caution" for c in book.rules[f.rule].cautions]
    hazards = all_hazards(book, check.hazards, check.access)
    lines += cautions(book, sorted(hazards), [c for c in said if c in hazards])
    for state in option.opens:
        if book.access[state].how and book.access[state].within is not None:
            lines.append(("step", f"To get there: {book.access[state].how}"))
    if substitute and check.instead:
        lines.append(("step", check.instead))
    else:
        lines += [("step", step) for step in check.steps]
        if check.instead and not _all_had(check.tools, scene):
            lines.append(("note", f"No {' or '.join(_missing(book, check.tools, scene)) or 'such tool'}? {check.instead}"))
    if check.slips:
        slip = max(check.slips, key=lambda s: s.spoils)
        lines.append(("note", f"Most common slip: {_lower(slip.what)}"))
    lines += [("choice", f"{word.replace('-', ' ')}: {meaning}") for word, meaning in check.outcomes.items()]
    return lines


def question_card(book: Rulebook, option: Option, thinking: Thinking) -> list[Line]:
    """A question, with its quick answers when there are few enough to read."""
    fact = book.facts[option.id]
    lines: list[Line] = [("ask", fact.ask or fact.plain)]
    if fact.how:
        lines.append(("step", fact.how))
    lines += [("choice", text) for text in choices(book, option, thinking)[1]]
    return lines


def choices(book: Rulebook, option: Option, thinking: Thinking) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Quick answers to a question: all values when they are few, else the likeliest few, which are then not all."""
    values = book.values(option.id)
    if len(values) <= 6:
        return tuple(values), tuple(values.values())
    chance = {outcome: p for outcome, p, _ in option.outcomes}
    best = sorted(values, key=lambda v: (-chance.get(v, 0.0), v))[:5]
    return tuple(best), (*[values[v] for v in best], "something else: say it in your own words")


def repair_card(book: Rulebook, option: Option, thinking: Thinking) -> list[Line]:
    """A repair: who should do it, cautions, way in, steps, and what proves it."""
    fault = book.faults[option.id]
    repair = fault.repair
    parts = {"nothing": "no parts", "consumable": "a small consumable", "cheap": "a cheap part", "medium": "a part at a middling price",
             "dear": "a dear part", "major": "a major part"}[repair.parts_class]
    lines: list[Line] = [("next", f"{repair.do} ({phrasing.minutes(_plain_minutes(book, repair.minutes, option.opens))}, {parts}).")]
    said = [c for f in thinking.firings if f.kind == "caution" for c in book.rules[f.rule].cautions]
    hazards = all_hazards(book, repair.hazards, repair.access)
    lines += cautions(book, sorted(hazards), [c for c in said if c in hazards])
    if repair.who == "workshop":
        lines.append(("note", "This is workshop work: special tools or a measured fit."))
    elif repair.who == "handy":
        lines.append(("note", "For somebody at home with spanners; the service manual's figures come first."))
    lines += [("step", f"To get there: {book.access[s].how}") for s in option.opens if book.access[s].how]
    lines += [("step", step) for step in repair.steps]
    lines.append(("note", "Tell me when it is done, and what changed."))
    return lines


def proof_card(book: Rulebook, fault_id: str) -> list[Line]:
    """What proves the cure, asked for before anybody calls it one."""
    fault = book.faults[fault_id]
    return [("ask", f"Before we call it cured: {fault.proof.do}"), ("choice", "yes: that is how it is now"), ("choice", "no: still not right")]


def closing(book: Rulebook, state: State) -> list[Line]:
    """The end after a cure: the fault, what keeps it away, and what still stands open."""
    fault = book.faults[state.cured or ""]
    lines: list[Line] = [("next", f"Cured: {fault.plain}. {fault.what}")]
    if fault.keep_away:
        lines.append(("note", fault.keep_away))
    still = [book.access[s].plain for s in sorted(state.opened) if s in book.access and book.access[s].close]
    if still:
        lines.append(("note", "Put back: " + ", ".join(still) + "."))
    lines.append(("note", f"Time at the machine by my count: {phrasing.minutes(state.minutes)}."))
    return lines


def reason_line(book: Rulebook, thinking: Thinking) -> Line | None:
    """One sentence on why this step: the rule that speaks most for the leader, or what the answer will separate."""
    best = thinking.plan.best
    if best is None:
        return None
    if best.leads:
        steps = list(dict.fromkeys(step for _, step in best.leads))
        if len(steps) > 1:
            first, second = steps[0], steps[1]
            return ("why", f"Because the answer decides what comes next: {_lower(book.plain(first))}, or {_lower(book.plain(second))}.")
    rules = [w for w in thinking.ranking.weights if w.counts and thinking.ranking.standings
             and w.fault == thinking.ranking.standings[0].fault and w.decibans > 0]
    if rules:
        top = max(rules, key=lambda w: (w.decibans, w.rule))
        return ("why", f"Because: {book.rules[top.rule].says}")
    return None


def block_lines(book: Rulebook, thinking: Thinking) -> list[Line]:
    """What is held back for safety, once for each rule; holds that are no matter of safety are kept quiet."""
    lines: list[Line] = []
    for rule in dict.fromkeys(b.rule for b in thinking.blocks if not book.rules[b.rule].quiet):
        block = next(b for b in thinking.blocks if b.rule == rule)
        lines.append(("block", block.says + (f" {block.until}" if block.until else "")))
    return lines


def _plain_minutes(book: Rulebook, own: float, opens: Iterable[str]) -> float:
    return own + sum(book.access[s].open for s in opens if s in book.access)


def _tools(book: Rulebook, tools: Iterable[str]) -> str:
    return " and ".join(book.tools[t].plain for t in tools if t in book.tools)


def _all_had(tools: Iterable[str], scene: Scene) -> bool:
    return set(tools) <= scene.tools_have


def _missing(book: Rulebook, tools: Iterable[str], scene: Scene) -> list[str]:
    return [_article_off(book.tools[t].plain) for t in tools if t not in scene.tools_have and t in book.tools]


def _article_off(text: str) -> str:
    return text.split(" ", 1)[1] if text.split(" ", 1)[0] in ("a", "an", "the") and " " in text else text


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _lower(text: str) -> str:
    return text if text[:2].isupper() else text[:1].lower() + text[1:]


__all__ = ["Known", "heard", "points"]
