"""A state to an answer: which card comes next, and what was asked with it."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.dialogue import cards, replies
from assistant.dialogue.cards import Line
from assistant.dialogue.state import State
from assistant.dialogue.think import Mind, Thinking
from assistant.records import Answer, Option, Reading
from assistant.rulebook.book import Rulebook
from assistant.session.events import Event


_PROOF = ("that is how it is now", "still not right")
_LIKELY = 0.5


@dataclass(frozen=True)
class Turn:
    """An answer and the event that records what it asked, if it asked anything."""

    answer: Answer
    asked: Event | None


def respond(mind: Mind, state: State, thinking: Thinking) -> Turn:
    """The answer to the last message. Pure: it changes nothing."""
    book = mind.book
    alarm = cards.alarm(book, state, thinking)
    if alarm:  # somebody is in danger: nothing else is said, and what was asked stays open
        return Turn(Answer("alarm", tuple(alarm), {**_data(thinking), "best": None}), None)
    head = cards.heard(book, state, thinking) + replies.remarks(book, state)
    side = replies.to_intents(mind, state, thinking)
    if state.cured:
        return Turn(Answer("cured", tuple(head + side + cards.closing(book, state)), _data(thinking)), _asked("nothing", ""))
    found = _ran_on_the_way(book, state, thinking)
    if found is not None:
        return Turn(Answer("proof", tuple(head + cards.proof_card(book, found)), _data(thinking)), _asked("proof", found, ("yes", "no"), _PROOF))
    again = replies.unanswered(book, state)
    if again:
        return Turn(Answer("said", tuple(head + again), _data(thinking)), None)
    if state.heard.doubts:
        return _doubt(mind, state, thinking, head)
    if side and _only_talk(state):
        return _side_reply(mind, state, thinking, side)
    if state.repairs and state.repairs[-1].outcome is None:
        fault = state.repairs[-1].fault
        body = head + side + cards.proof_card(book, fault)
        return Turn(Answer("proof", tuple(body), _data(thinking)), _asked("proof", fault, ("yes", "no"), _PROOF))
    return next_step(mind, state, thinking, head + side)


def _ran_on_the_way(book: Rulebook, state: State, thinking: Thinking) -> str | None:
    """The likely fault, when a step that was to find it got the machine running: a stand put up, a joint that was only tugged at."""
    kinds = {i.kind for i in state.heard.intents}
    top = thinking.ranking.standings[0] if thinking.ranking.standings else None
    if "cured" not in kinds or state.pending is None or state.pending.kind not in ("check", "question") or top is None:
        return None
    tried = any(r.check == state.pending.id and r.outcome in kinds for r in state.heard.readings)  # a trial, and it cured
    said = [i.span for i in state.heard.intents if i.kind == "cured"]
    signs = [s.span for s in state.heard.statements if s.fact in book.facts and book.facts[s.fact].about == "sign"]
    if not tried and any(all(s.end <= c.start or c.end <= s.start for c in said) for s in signs):
        return None  # 'it starts now but dies'
    return top.fault if top.probability >= _LIKELY else None


def next_step(mind: Mind, state: State, thinking: Thinking, head: list[Line]) -> Turn:
    """The next question, check, repair, or the way to the workshop."""
    book, best = mind.book, chosen(mind, state, thinking)
    scene = mind.scene(state, thinking.known, thinking.lacking, thinking.ranking, thinking.blocks)
    body: list[Line] = []
    note = replies.wanted(book, state, thinking)
    if note:
        body.append(note)
    if state.stopped or best is None or best.kind == "workshop":
        return Turn(Answer("workshop", tuple(head + body + replies.workshop(mind, state, thinking)), _data(thinking, best)), _asked("nothing", ""))
    held = _held_back(book, thinking, state)
    if best.kind == "question":
        body += cards.question_card(book, best, thinking)
        ids, plain = cards.choices(book, best, thinking)
        asked = _asked("question", best.id, tuple(book.values(best.id)) if len(book.values(best.id)) <= 6 else ids, plain[: len(ids)])
        kind = "question"
    elif best.kind == "check":
        body += cards.check_card(book, thinking, best, scene, mind.planner.prices)
        outcomes = book.checks[best.id].outcomes
        asked, kind = _asked("check", best.id, tuple(outcomes), tuple(outcomes.values())), "next"
    else:
        body += cards.repair_card(book, best, thinking)
        asked, kind = _asked("repair", best.id), "repair"
    why = cards.reason_line(book, thinking)
    if why is not None and kind != "question":
        body.append(why)
    return Turn(Answer(kind, tuple(head + held + body), _data(thinking, best)), asked)


def chosen(mind: Mind, state: State, thinking: Thinking) -> Option | None:
    """The planner's choice, or what the person said they want to do first where that may be done."""
    if state.wants:
        held = {b.what for b in thinking.blocks}
        every = [o for o in (thinking.plan.best, *thinking.plan.rivals) if o is not None and o.id == state.wants]
        if state.wants not in held:
            if every:
                return every[0]
            made = replies.option_for(mind, state, thinking, state.wants)
            if made is not None:
                return made
    return thinking.plan.best


def _held_back(book: Rulebook, thinking: Thinking, state: State) -> list[Line]:
    """The safety blocks that this very message brought about. Holds that are no matter of safety are kept quiet."""
    lines: list[Line] = [("block", rule.says + (f" {rule.until}" if rule.until else "")) for rule in cards.brought_about(book, state, thinking)
                         if rule.blocks is not None and not rule.quiet]
    return lines[:2]


def _only_talk(state: State) -> bool:
    """Whether the message was a question to the assistant and nothing else."""
    return not state.heard.statements and not state.heard.readings and not state.remarks


def _doubt(mind: Mind, state: State, thinking: Thinking, head: list[Line]) -> Turn:
    book, doubt = mind.book, state.heard.doubts[0]
    ids, plain = [], []
    for choice in doubt.choices:
        topic = choice.check if isinstance(choice, Reading) else choice.fact
        value = (choice.outcome or "") if isinstance(choice, Reading) else str(choice.value)
        ids.append(f"{topic}={value}")
        plain.append(book.values(topic).get(value, value))
    body = [("ask", f"\"{doubt.words}\": which do you mean?"), *[("choice", p) for p in plain]]
    return Turn(Answer("doubt", tuple(head + body), _data(thinking)), _asked("doubt", doubt.words, tuple(ids), tuple(plain)))


def _side_reply(mind: Mind, state: State, thinking: Thinking, side: list[Line]) -> Turn:
    """A question to the assistant is answered, and the open question stands."""
    body = list(side)
    if not replies.leaves_open(state):
        again = next_step(mind, state, thinking, [])
        return Turn(Answer(again.answer.kind, tuple(body) + again.answer.lines, again.answer.data), again.asked)
    reminder = replies.reminder(mind.book, state)
    if reminder:
        body.append(reminder)
    return Turn(Answer("said", tuple(body), _data(thinking)), None)


def _asked(what: str, identity: str, ids: tuple[str, ...] = (), plain: tuple[str, ...] = ()) -> Event:
    return Event("asked", {"what": what, "id": identity, "choices": list(ids), "plain": list(plain)})


def _data(thinking: Thinking, best: Option | None = None) -> dict:
    return {"best": best if best is not None else thinking.plan.best, "thinking": thinking}
