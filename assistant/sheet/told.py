"""The sections on what was told, read and checked: machine, story, signs, readings, checks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import phrasing
from assistant.dialogue.account_words import amount, capital
from assistant.dialogue.state import Note, State, judged_reading
from assistant.explain.grounds import GIVEN, Edge, band
from assistant.explain.slips import spoilt_share
from assistant.records import Heard, Known, Reading
from assistant.rulebook.book import Rulebook
from assistant.sheet.record import Block, Pairs, Section, Table, Talk, Text

if TYPE_CHECKING:
    from assistant.sheet.gather import Case

_ASKING = {"why", "why-not", "what-if", "sure", "after-that", "explain-more", "what-is", "how-to", "summary", "help", "sheet", "hello", "thanks", "repeat",
           "next", "machine", "sum"}
_ORIGINS = {"manual": "manual", "computed": "for this machine", "files": "rule of thumb"}


def machine(case: "Case") -> Section | None:
    """What the machine is, what is known of the day, and figures of the manual that were typed in."""
    rows = [(capital(case.book.plain(f.topic)), value(case.book, f)) for about in ("machine", "manual", "setting")
            for f in case.thinking.facts if case.book.facts.get(f.topic) is not None and case.book.facts[f.topic].about == about]
    rows += [(capital(case.book.plain(f.topic)) + " (taken)", value(case.book, f)) for f in case.thinking.derived
             if f.topic in case.book.facts and case.book.facts[f.topic].about == "machine"]
    tools = [("Tools at hand", ", ".join(case.book.plain(t) for t in sorted(case.state.tools_have)))] if case.state.tools_have else []
    tools += [("Not at hand", ", ".join(case.book.plain(t) for t in sorted(case.state.tools_lack)))] if case.state.tools_lack else []
    blocks: tuple[Block, ...] = (Pairs((*rows, *tools)),) if rows or tools else (Text("Nothing was said of the machine."),)
    return Section("Machine", blocks)


def value(book: Rulebook, fact: Known) -> str:
    """The value of a fact in plain words, with its unit."""
    text = phrasing.known_words(book, fact).removeprefix(f"{phrasing.short_name(book, fact.topic)}: ")
    return text + (" (not sure)" if fact.confidence < 0.65 else "")


def story(case: "Case") -> Section | None:
    """Every message that told or changed something, as it was typed, with the question it answers and what was understood."""
    pairs = [(before, m) for before, m in zip(case.moments, case.moments[1:]) if m.turn >= 0]
    talks = [Talk(m.turn + 1, m.asked, m.text, understood(case.book, m.state.heard, m.facts)) for before, m in pairs if tells(before.state, m.state)]
    blocks: list[Block] = list(talks) or [Text("Nothing was told yet.")]
    if len(talks) < len(pairs):
        blocks.append(Text("Messages that only asked something are left out.", "small"))
    return Section("Story, in the owner's words", tuple(blocks))


def tells(before: State, after: State) -> bool:
    """Whether a message did more than ask me something."""
    heard = after.heard
    if heard.statements or heard.readings or heard.doubts or heard.not_understood or not heard.intents:
        return True
    return not {i.kind for i in heard.intents} <= _ASKING or before.repairs != after.repairs or before.notes != after.notes


def understood(book: Rulebook, heard: Heard, facts: tuple[Known, ...]) -> str:
    """What was made of a message, in plain words, and what was not; empty for neither."""
    judged = {f.topic: f.value for f in facts if f.number is not None}
    parts = [phrasing.item_words(book, s) for s in heard.statements]
    parts += [phrasing.item_words(book, r, judged.get(r.check)) for r in heard.readings]
    missed = ", ".join(f"\"{u.words}\"" for u in heard.not_understood)
    return ". ".join(t for t in ("Understood: " + "; ".join(dict.fromkeys(parts)) if parts else "", f"Not understood: {missed}" if missed else "") if t)


def signs(case: "Case") -> Section | None:
    """What the machine does, how it began, and what was done to it."""
    rows = []
    for about, name in (("sign", "Sign"), ("history", "History"), ("work", "Recent work")):
        for fact in case.facts:
            entry = case.book.facts.get(fact.topic)
            if entry is not None and entry.about == about:
                rows.append((name, capital(case.book.plain(fact.topic)), value(case.book, fact), _message(case, fact)))
    return Section("Signs and history", (Table(("", "What", "How it is", "Message"), tuple(rows), (3,)),)) if rows else None


def readings(case: "Case") -> Section | None:
    """Every number that counts: with its unit, the limits it was held against, and how it was taken."""
    book, rows = case.book, []
    facts = list(case.facts)
    shown = [n for n in case.concluded.state.notes if n.active]
    shown += [n for n in case.state.notes if n.active and case.since_repair(n.turn)]
    newest = {(n.topic, getattr(n.item, "where", None)): n for n in shown}
    for note in shown:
        item = note.item
        if not isinstance(item, Reading) or item.value is None or item.check not in book.checks:
            continue
        fact = next((f for f in facts if f.topic == item.check), None)
        judged, number = judged_reading(book, item.check, [note], facts)
        own = Known(item.check, judged.outcome or "", number)
        used = band(book, own if fact is None or fact.number == number else Known(item.check, fact.value, number), facts)
        verdict = (judged.outcome or "cannot be right").replace("-", " ") + (", on the edge" if judged.borderline else "")
        verdict += "" if newest[item.check, item.where] is note else ", read again later"
        where = f", {item.where}" if item.where else ""
        rows.append((capital(phrasing.short_name(book, item.check)) + where, f"{phrasing.number(item.value)} {item.unit or ''}".strip(), verdict,
                     "; ".join(_limit(e) for e in used.edges) if used is not None else "", _conditions(book, item), _number(case, note.turn)))
    if not rows:
        return None
    return Section("Readings", (Table(("Measured", "Reading", "Verdict", "Limits", "Conditions", "Message"), tuple(rows), (1, 5)),))


def _limit(edge: Edge) -> str:
    return f"{amount(edge)} ({_ORIGINS.get(edge.origin, edge.origin)})"


def _conditions(book: Rulebook, item: Reading) -> str:
    """As said, or else as the check asks for."""
    if item.conditions:
        return ", ".join(item.conditions)
    asked = book.checks[item.check].with_
    return ", ".join(f"{topic} {word}".replace("-", " ") for topic, word in asked.items()) + " (as asked for)" if asked else "none given"


def checks(case: "Case") -> Section | None:
    """Every check with its outcome, what that means, and how often such a check slips."""
    rows = []
    for fact in case.facts:
        check = case.book.checks.get(fact.topic)
        if check is not None:
            rows.append((capital(check.plain), f"{fact.value.replace('-', ' ')}: {check.outcomes.get(fact.value, '')}".rstrip(": "),
                         f"\"{fact.words}\"" if fact.words and fact.words != GIVEN else "", f"{round(spoilt_share(check) * 100)} in 100", _message(case, fact)))
    if not rows:
        return Section("Checks done", (Text("None yet."),))
    return Section("Checks done", (Table(("Check", "Outcome", "In the owner's words", "Slips", "Message"), tuple(rows), (3, 4)),))


def _message(case: "Case", fact: Known) -> str:
    return _number(case, fact.turn) if fact.turn >= 0 and fact.words != GIVEN else "start"


def _number(case: "Case", turn: int) -> str:
    return f"{turn + 1}, after the repair" if case.since_repair(turn) else str(turn + 1)


def dropped(case: "Case") -> list[tuple[Note, str]]:
    """Notes that did not count for the conclusion, with the reason in plain words."""
    reasons = {"taken-back": "taken back", "before-repair": "from before a repair, or as it was before"}
    return [(n, reasons.get(n.why_not, "no longer counted")) for n in case.concluded.state.notes if not n.active]
