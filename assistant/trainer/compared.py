"""One turn as it happened against what the conversation file expects of it."""

from __future__ import annotations

from typing import Any, Iterator

from assistant.dialogue.think import Mind
from assistant.language.quantities import convert
from assistant.records import Reading, Statement
from assistant.trainer.conversations import OPEN, Conversation, Hearing, Turn
from assistant.trainer.replay import Difference, Draw, Happened, heard_rows


def compare(mind: Mind, conversation: Conversation, number: int, now: Happened, draw: Draw | None, strict: bool) -> list[Difference]:
    """The differences of one turn, in the order in which a trainer thinks: understood, fired, ranking, next step, wording."""
    turn = conversation.turns[number]
    found = [*_heard(mind, turn, now, strict), *_meant(turn, now), *_fired(turn, now), *_ranked(turn, now), *_next(turn, now),
             *_forbidden(turn, now), *_shown(mind, turn, now, draw)]
    return [Difference(conversation.file, turn.line, number, turn.says, key, expected, got, what) for key, expected, got, what in found]


Found = Iterator[tuple[str, Any, Any, str]]


def _heard(mind: Mind, turn: Turn, now: Happened, strict: bool) -> Found:
    if turn.heard is not None:
        items = (*now.state.heard.statements, *now.state.heard.readings)
        matched = {h: next((i for i in items if _same(mind, turn, h, i, now)), None) for h in turn.heard}
        lost = [_hearing_words(h) for h, item in matched.items() if item is None]
        extra = [_item_words(i) for i in items if i not in matched.values()] if strict else []
        rows = heard_rows(now.state)
        if lost:
            also = [_item_words(i) for i in items if i not in matched.values()]
            yield "heard", list(lost), rows, f"not heard: {'; '.join(lost)}" + (f". Heard instead: {'; '.join(also)}" if also else "")
        if extra:
            yield "heard", [_hearing_words(h) for h in turn.heard], rows, f"heard too: {'; '.join(extra)}"
    if turn.missed is not None:
        missed = [u.words for u in now.state.heard.not_understood]
        gone = [m for m in turn.missed if not any(_squeeze(m) in _squeeze(w) or _squeeze(w) in _squeeze(m) for w in missed)]
        if gone:
            yield "missed", list(turn.missed), missed, f"no longer named as not understood: {'; '.join(gone)}"


def _same(mind: Mind, turn: Turn, want: Hearing, item: Statement | Reading, now: Happened) -> bool:
    topic = item.fact if isinstance(item, Statement) else item.check
    if topic != want.topic or (want.words and not _touches(turn.says, want.words, item)):
        return False
    if isinstance(item, Statement):
        return item.denied == want.denied and (item.when != "now") == want.before and (want.value is None or _equal(item.value, want.value))
    if want.denied or want.before or (want.where is not None and want.where != item.where):
        return False
    if want.value is None:
        return True
    if isinstance(want.value, float):
        scale = mind.book.checks[topic].reading
        inside = convert(item.value, item.unit, scale.unit) if item.value is not None and scale is not None else None
        return item.value is not None and (_equal(item.value, want.value) or (inside is not None and abs(inside - want.value) < 1e-6))
    judged = next((k.value for k in now.known if k.topic == topic and not k.denied), None)
    return want.value in (item.outcome, judged)


def _equal(one: Any, other: Any) -> bool:
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return abs(float(one) - float(other)) < 1e-6
    return str(one) == str(other)


def _touches(says: str, words: str, item: Statement | Reading) -> bool:
    """Whether the words expected and the words it was heard in overlap in the message."""
    low, part = says.lower(), words.lower()
    start = low.find(part)
    while start >= 0:
        if start < item.span.end and item.span.start < start + len(part):
            return True
        start = low.find(part, start + 1)
    return _squeeze(words) in _squeeze(item.words) or _squeeze(item.words) in _squeeze(words)


def _meant(turn: Turn, now: Happened) -> Found:
    if turn.meant is not None:
        heard = {i.kind for i in now.state.heard.intents} | {f"{i.kind}={i.about}" for i in now.state.heard.intents if i.about}
        lost = [m for m in turn.meant if m not in heard]
        if lost:
            got = [f"{i.kind}={i.about}" if i.about else i.kind for i in now.state.heard.intents]
            yield "meant", list(turn.meant), got, f"not taken as {', '.join(lost)}; taken as {', '.join(got) or 'nothing said to the assistant'}"


def _fired(turn: Turn, now: Happened) -> Found:
    if turn.fired:
        fired = {f.rule for f in now.firings or ()}
        lost = [r for r in turn.fired if r not in fired]
        if lost:
            yield "fired", list(turn.fired), [r for r in turn.fired if r in fired], f"no longer fired: {', '.join(lost)}"


def _ranked(turn: Turn, now: Happened) -> Found:
    if turn.ranked and now.ranking is not None:
        top = [(s.fault, s.probability) for s in now.ranking.standings[: max(len(turn.ranked), 1)]]
        if turn.ranked != (OPEN,) and [f for f, _ in top] != list(turn.ranked):
            places = {s.fault: (i + 1, s.probability) for i, s in enumerate(now.ranking.standings)}
            told = "; ".join(f"{f} is {_place(places.get(f))}" for f in turn.ranked)
            yield "ranked", list(turn.ranked), [f for f, _ in top], f"ranked now: {', '.join(f'{f} {p * 100:.0f} in 100' for f, p in top)} ({told})"


def _place(found: tuple[int, float] | None) -> str:
    return "not on this machine" if found is None else f"at place {found[0]} with {found[1] * 100:.0f} in 100"


def _next(turn: Turn, now: Happened) -> Found:
    if turn.next not in (None, OPEN) and now.next != turn.next:
        yield "next", turn.next, now.next, f"next step expected: {turn.next}; now: {now.next}"
    if turn.kind not in (None, OPEN) and now.answer is not None and now.answer.kind != turn.kind:
        yield "kind", turn.kind, now.answer.kind, f"kind of answer expected: {turn.kind}; now: {now.answer.kind}"


def _forbidden(turn: Turn, now: Happened) -> Found:
    heard = {i.fact if isinstance(i, Statement) else i.check: i for i in (*now.state.heard.statements, *now.state.heard.readings)}
    pairs = {f"{i.fact}={i.value}" if isinstance(i, Statement) else f"{i.check}={i.outcome}" for i in heard.values() if not getattr(i, "denied", False)}
    fired = {f.rule for f in now.firings or () if not f.denial}
    bad = [m for m in turn.must_not if m in pairs or m in heard or m in fired or m == now.next]
    if bad:
        how = ["offered" if m == now.next else "fired" if m in fired else "heard" for m in bad]
        yield "must not", list(turn.must_not), [m for m in turn.must_not if m not in bad], "; ".join(f"{m} was {h}" for m, h in zip(bad, how))


def _shown(mind: Mind, turn: Turn, now: Happened, draw: Draw | None) -> Found:
    if now.answer is None:
        return
    text = _squeeze(" ".join(line for _, line in now.answer.lines))
    lost = [s for s in turn.shown if _squeeze(s) not in text]
    if lost:
        yield "shown", list(turn.shown), [s for s in turn.shown if s not in lost], f"not in the answer: {'; '.join(lost)}"
    if draw is not None and now.thinking is not None:
        for width, wanted in turn.screen:
            if wanted == OPEN:
                continue
            drawn = draw(mind, now.state, now.thinking, now.answer, width).rstrip("\n")
            if drawn != wanted:
                yield "screen", {width: wanted}, {width: drawn}, f"the screen at {width} columns looks different"


def _hearing_words(h: Hearing) -> str:
    value = "" if h.value is None else f": {h.value:g}" if isinstance(h.value, float) else f": {h.value}"
    return f"{'not ' if h.denied else ''}{h.topic}{value}{' (before)' if h.before else ''}"


def _item_words(item: Statement | Reading) -> str:
    if isinstance(item, Statement):
        return f"{'not ' if item.denied else ''}{item.fact}: {item.value}{' (before)' if item.when != 'now' else ''}"
    return f"{item.check}: {item.outcome if item.value is None else f'{item.value:g}'}"


def _squeeze(text: str) -> str:
    return " ".join(text.lower().split())


__all__ = ["compare"]
