"""Events into a state, one at a time. Undo, resume, what-if and tests are all this fold."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.state import Note, RepairDone, State
from assistant.language.answers import Pending
from assistant.language.read import Reader
from assistant.planning.costs import to_open
from assistant.records import Heard, Intent, Reading, Statement
from assistant.rulebook.book import Rulebook
from assistant.session.events import Event

_BAD, _GOOD = "no-change", "cured"
_ACCOUNTS = ("why", "why-not", "what-if", "sure")


def fold(book: Rulebook, reader: Reader, state: State, event: Event) -> State:
    """The state after one more event. A pure function: same state, same event, same files, same result."""
    if event.kind == "said":
        text = str(event.data.get("text", ""))
        return _said(book, state, reader, reader.read(text, state.pending, state.answered), text)
    if event.kind == "asked":
        data = event.data
        return state.with_(pending=Pending(str(data.get("what", "")), str(data.get("id", "")), tuple(data.get("choices", ())),
                                           tuple(data.get("plain", ()))))
    if event.kind == "given":
        statement = Statement(str(event.data["fact"]), event.data["value"], words="given", via="given")
        return state.with_(notes=(*state.notes, Note(state.turn, statement)))
    return state


def _said(book: Rulebook, state: State, reader: Reader, heard: Heard, text: str) -> State:
    kinds = {i.kind: i for i in heard.intents}
    if "start-over" in kinds:
        return State(turn=state.turn + 1, heard=heard, text=text, remarks=("fresh",))
    new = state.with_(turn=state.turn + 1, heard=heard, text=text, wants=None, remarks=(), account=_account(state, heard))
    if "undo" in kinds and not heard.statements and not heard.readings:
        return _take_back(new)
    if "before-that" in kinds and not heard.statements and not heard.readings:
        return _date_back(new)
    if state.pending is not None and state.pending.kind == "doubt":
        new = _settle_doubt(new, state.pending, heard)
    new = _notes(book, new, heard)
    new = _machine_side(book, new, heard, kinds)
    new = _repair_side(book, reader, new, state, kinds)
    new = _count_work(book, new, state, heard)
    if "stop-here" in kinds:
        new = new.with_(stopped=True)
    if "want" in kinds and kinds["want"].about:
        new = new.with_(wants=kinds["want"].about, passed=new.passed - {kinds["want"].about})
    return new


def _account(state: State, heard: Heard) -> Intent | None:
    """What 'explain more' would go on with: the account asked for now, or the one before where nothing new was told."""
    asked = [i for i in heard.intents if i.kind in _ACCOUNTS]
    if asked:
        return asked[-1]
    return None if heard.statements or heard.readings else state.account


def _notes(book: Rulebook, state: State, heard: Heard) -> State:
    """Keep what was said. A correction is just the later word: it stands in the facts, the earlier stays in the log."""
    asked = state.pending is not None and any(s.fact == state.pending.id for s in heard.statements)  # then all of it is the answer
    added = [Note(state.turn - 1, s, unasked=not asked) for s in heard.statements]
    added += [Note(state.turn - 1, r) for r in heard.readings]
    answers = state.pending is not None and state.pending.id in {n.topic for n in added}
    return state.with_(notes=(*state.notes, *added), answered=state.pending if answers else state.answered)


def _take_back(state: State) -> State:
    turns = [n.turn for n in state.notes if n.active and n.turn >= 0]
    if not turns:
        return state.with_(remarks=("nothing-to-take-back",))
    last = max(turns)
    notes = tuple(replace(n, active=False, why_not="taken-back") if n.turn == last else n for n in state.notes)
    repairs = tuple(r for r in state.repairs if r.turn != last)
    return state.with_(notes=notes, repairs=repairs, cured=None, remarks=("taken-back",), stopped=False)


def _date_back(state: State) -> State:
    turns = [n.turn for n in state.notes if n.active]
    last = max(turns, default=-1)
    notes = tuple(replace(n, active=False, why_not="before-repair") if n.turn == last else n for n in state.notes)
    return state.with_(notes=notes, remarks=("dated-back",))


def _settle_doubt(state: State, pending: Pending, heard: Heard) -> State:
    """An answer to 'did you mean': choices are 'topic=value'."""
    tokens = state.text.lower().split()
    from assistant.language.answers import pick  # late: doubts are rare
    from assistant.language.text import Token

    choice = pick(pending, [Token(t.strip(".,!"), "word", 0, 0) for t in tokens], {i.kind for i in heard.intents})
    if choice is None or "=" not in choice[0]:
        return state
    topic, value = choice[0].split("=", 1)
    return state.with_(notes=(*state.notes, Note(state.turn - 1, Statement(topic, value, confidence=0.95, words=state.text, via="answer"))))


def _machine_side(book: Rulebook, state: State, heard: Heard, kinds: dict[str, Intent]) -> State:
    """Tools, places out of reach, things skipped or not known."""
    have, lack, cannot, passed = set(state.tools_have), set(state.tools_lack), set(state.cannot_open), set(state.passed)
    pending = state.pending
    for intent in heard.intents:
        if intent.kind == "no-tool" and intent.about:
            lack.add(intent.about)
            have.discard(intent.about)
        elif intent.kind == "have-tool" and intent.about:
            have.add(intent.about)
            lack.discard(intent.about)
        elif intent.kind == "cannot-do":
            if intent.about in book.access:
                cannot.add(intent.about)
            elif intent.about in book.checks:
                passed.add(intent.about)
            elif pending is not None and pending.kind == "check":
                passed.add(pending.id)
        elif intent.kind == "already-did" and intent.about in book.checks:
            passed.add(intent.about)
    answered = {n.topic for n in state.notes if n.turn == state.turn - 1}
    if pending is not None and pending.id not in answered and {"skip", "dont-know", "already-did"} & set(kinds):
        if pending.kind in ("question", "check", "repair"):
            passed.add(pending.id)
    return state.with_(tools_have=frozenset(have), tools_lack=frozenset(lack), cannot_open=frozenset(cannot), passed=frozenset(passed))


def _repair_side(book: Rulebook, reader: Reader, state: State, before: State, kinds: dict[str, Intent]) -> State:
    """Repairs done, helped, or not. Evidence a repair makes stale stays in the log, but no longer speaks."""
    pending = before.pending
    if pending is not None and pending.kind == "question" and pending.id in book.facts and book.facts[pending.id].about in ("work", "history"):
        return state  # it was asked what had been done before: the answer tells of then
    named = kinds["repaired"].about if "repaired" in kinds else None
    if pending is not None and pending.kind == "repair" and named != pending.id and "repaired" in kinds:
        if reader.names.may_mean(kinds["repaired"].words, pending.id):  # 'fitted a new fuse': the one that was offered
            named = pending.id
    fault = named if named in book.faults else (pending.id if pending is not None and pending.kind == "repair" else None)
    did = fault is not None and ("repaired" in kinds or (pending is not None and pending.kind == "repair"
                                 and {"done", "yes", "cured", "still-bad"} & set(kinds)))
    if did and fault is not None:
        state = _after_repair(book, state, fault)
        if "still-bad" in kinds:
            return _outcome(book, state, _BAD)
        return state
    if pending is not None and pending.kind == "proof" and state.repairs and state.repairs[-1].outcome is None:
        if {"still-bad", "no"} & set(kinds):
            return _outcome(book, state, _BAD)
        if "yes" in kinds:
            return _outcome(book, state, _GOOD)
    elif pending is not None and pending.kind == "proof" and pending.id in book.faults and "yes" in kinds:
        return _outcome(book, _after_repair(book, state, pending.id, worked=False), _GOOD)  # it ran before anybody called it a repair
    return state


def _after_repair(book: Rulebook, state: State, fault: str, worked: bool = True) -> State:
    """The repair noted, with the evidence it makes stale; `worked`: with the work it takes, and what it opens."""
    entry = book.faults[fault]
    stale = set(entry.repair.renews) | {rule_topic for rule_topic in _direct_topics(book, fault)}
    notes = tuple(replace(n, active=False, why_not="before-repair") if n.active and n.topic in stale and n.turn < state.turn - 1 else n
                  for n in state.notes)
    done = RepairDone(fault, state.turn - 1, notes=tuple(n for n in state.notes if n.turn < state.turn - 1))
    minutes, opens = to_open(book, entry.repair.access, state.opened) if worked else (0.0, ())
    return state.with_(notes=notes, repairs=(*state.repairs, done), opened=state.opened | set(opens),
                       minutes=state.minutes + minutes + (entry.repair.minutes if worked else 0.0), passed=state.passed - stale)


def _direct_topics(book: Rulebook, fault: str) -> set[str]:
    """The checks whose rules show this very fault: their old outcome says nothing after it was repaired."""
    from assistant.rulebook.conditions import topics

    return {t for r in book.rules.values() if r.kind == "show" and fault in r.seen_in and r.id in book.conditions
            for t in topics(book.conditions[r.id])}


def _outcome(book: Rulebook, state: State, outcome: str) -> State:
    """Close the last repair. Where nothing changed, the signs seen before it still stand; what was measured does not."""
    last = replace(state.repairs[-1], outcome=outcome)
    if outcome == _BAD:
        again = set(book.faults[last.fault].repair.renews) & set(book.facts)
        told = {n.topic for n in state.notes if n.active}
        notes = tuple(replace(n, active=True, why_not="") if n.why_not == "before-repair" and n.topic in again - told else n for n in state.notes)
        state = state.with_(notes=notes)
    return state.with_(repairs=(*state.repairs[:-1], last), cured=last.fault if outcome == _GOOD else None,
                       remarks=("cured",) if outcome == _GOOD else ("not-helped",))


def _count_work(book: Rulebook, state: State, before: State, heard: Heard) -> State:
    """Minutes spent and what now stands open, for the steps that were offered and done; and whether anything was learnt."""
    pending = before.pending
    learnt = bool(heard.statements or heard.readings)
    if pending is None or not state.text.strip():
        return state
    minutes, opened = state.minutes, set(state.opened)
    if pending.kind == "check" and any(isinstance(n.item, Reading) and n.topic == pending.id and n.turn == state.turn - 1 for n in state.notes):
        check = book.checks[pending.id]
        cost, opens = to_open(book, check.access, state.opened)
        minutes, opened = minutes + cost + check.minutes, opened | set(opens)
    elif pending.kind == "question":
        fact = book.facts.get(pending.id)
        minutes += fact.minutes if fact else 0.2
    dry = 0 if learnt else state.dry + (1 if pending.kind == "question" else 0)
    return state.with_(minutes=minutes, opened=frozenset(opened), dry=dry)
