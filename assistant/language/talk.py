"""What is said to the assistant itself: why, skip, I have no meter. A story's own words are not mistaken for it."""

from __future__ import annotations

import re

from assistant.language.clauses import Sentence
from assistant.language.lexicon import Lexicon
from assistant.language.match import Match
from assistant.language.names import Names
from assistant.language.text import plain
from assistant.records import Intent, Span

_WORD = re.compile(r"[^\W_]+")
_LONG = 30  # words: a longer message is a story, and only its lacks ("no meter here") are heard as talk
# intents that carry a name: which kinds of entry it may be, best first
_ARGUMENT: dict[str, tuple[str, ...]] = {
    "why": ("faults", "checks"), "why-not": ("faults", "checks"), "what-if": (), "what-is": ("glossary", "checks", "faults", "tools", "facts"),
    "how-to": ("checks", "glossary", "tools"), "no-tool": ("tools",), "have-tool": ("tools",), "want": ("checks", "faults"),
    "already-did": ("checks", "faults"), "cannot-do": ("access", "checks"), "repaired": ("faults",),
}
_NEEDS_NAME = ("no-tool", "have-tool", "what-if")
_IN_STORIES = ("no-tool",)
# kinds that steer the conversation: only in the very words of the files ('restarts' and 'dropped it' are told of a machine),
# and the first three only when the message says little else
_STEERING = ("start-over", "undo", "stop-here", "before-that", "next", "skip", "already-did")
_ALL_OF_IT = ("start-over", "undo", "stop-here")
_MOST = 0.5  # of the words of a message
_WHOLE_NAME = ("no-tool", "have-tool")  # half a tool's name is not the tool: "no spark", "left in the battery"
# kinds of phrase whose whole sentence states nothing, and the intent each is: what is supposed or objected is not told
_ASIDE = {"suppose": "what-if", "object": "why-not"}


def intents(lexicon: Lexicon, names: Names, message: str, sentences: list[Sentence], matches: list[list[Match]], words: int) -> list[Intent]:
    """All intents of a message, in order. `matches` are the talk phrases found in each sentence."""
    result: list[tuple[int, Intent]] = []
    for sentence, found in zip(sentences, matches):
        count = sum(t.kind in ("word", "number") for t in sentence.tokens)
        best: dict[str, Match] = {}
        for match in _heads(lexicon, sentence, found) or found:
            kind = _ASIDE.get(match.pattern.topic, match.pattern.topic)
            if words > _LONG and kind not in _IN_STORIES or kind in _STEERING and not _as_written(sentence, match):
                continue
            if kind in _ALL_OF_IT and (len(match.used) + 0.5 * _small(lexicon, sentence, match)) / words < _MOST:
                continue
            old = best.get(kind)
            if old is None or match.weight > old.weight:
                best[kind] = match
        taken = frozenset().union(*(m.used for m in best.values())) if best else frozenset()
        for kind, match in sorted(best.items(), key=lambda item: (item[1].first, item[0])):
            made = _accept(lexicon, names, message, sentence, kind, match, count, taken)
            if made is not None:
                result.append((len(match.used), made))
    return _settle(result)


def _as_written(sentence: Sentence, match: Match) -> bool:
    """Whether the words of a phrase were said just as the files have them."""
    written = set(_WORD.findall(plain(match.pattern.pattern)))
    return all(part in written for i in match.used for part in _WORD.findall(plain(sentence.tokens[i].text)))


def _small(lexicon: Lexicon, sentence: Sentence, match: Match) -> int:
    return sum(t.kind == "word" and t.text in lexicon.small for i, t in enumerate(sentence.tokens) if i not in match.used)


def aside(lexicon: Lexicon, sentence: Sentence, found: list[Match], intents_: list[Intent]) -> bool:
    """Whether a sentence only supposes or objects, and was taken so: nothing in it is told."""
    start, end = sentence.tokens[0].start, sentence.tokens[-1].end
    return bool(_heads(lexicon, sentence, found)) and any(i.kind in _ASIDE.values() and start <= i.span.start < end for i in intents_)


def _heads(lexicon: Lexicon, sentence: Sentence, found: list[Match]) -> list[Match]:
    """The phrase at the head of a sentence that sets it aside, alone; empty for any other sentence."""
    heads = [m for m in found if m.pattern.topic in _ASIDE and _lead(lexicon, sentence, m) <= 1]
    return [min(heads, key=lambda m: (-len(m.used), m.last, m.pattern.topic))] if heads else []


def _lead(lexicon: Lexicon, sentence: Sentence, match: Match) -> int:
    return sum(t.kind == "word" and t.text not in lexicon.small for t in sentence.tokens[: match.first])


def sum_asked(lexicon: Lexicon, message: str, sentence: Sentence, found: list[Match]) -> Intent | None:
    """A question about what a number should be: the computation that answers it, over the whole sentence."""
    count = sum(t.kind in ("word", "number") for t in sentence.tokens)
    if not found or count > _LONG:
        return None
    best = max(found, key=lambda m: (len(m.used), m.fit, m.pattern.topic))
    if _lead(lexicon, sentence, best) > 2 or len(best.used) < 3:
        return None
    start, end = sentence.tokens[0].start, sentence.tokens[-1].end
    return Intent("sum", best.pattern.topic, Span(start, end), message[start:end])


def _accept(lexicon: Lexicon, names: Names, message: str, sentence: Sentence, kind: str, match: Match, count: int,
            taken: frozenset[int]) -> Intent | None:
    """One intent, if its words are most of what its clause says. `taken` are the words of all talk in the sentence."""
    tokens = sentence.tokens
    span = Span(tokens[match.first].start, tokens[match.last - 1].end)
    if kind in _ARGUMENT:
        if _lead(lexicon, sentence, match) > 2 and kind not in _IN_STORIES and kind != "cannot-do":
            return None
        after = message[span.end: tokens[-1].end].strip(" ,:?")
        before = message[tokens[0].start: span.start].strip(" ,:")
        about = None
        if kind == "what-if":
            about = after or None
        else:
            bare = kind in _WHOLE_NAME and len(match.used) == 1  # 'no meter', but not 'new plug, still no spark'
            for text in (after,) if bare else (after, before):
                found = names.find(text, _ARGUMENT[kind], whole=kind in _WHOLE_NAME) if text else None
                if found:
                    about = found[1]
                    break
        rest = count - len(match.used)
        if about is None and (kind in _NEEDS_NAME or rest > 4):
            return None
        return Intent(kind, about, Span(span.start, tokens[-1].end), message[span.start: tokens[-1].end])
    first, last = sentence.bounds(match.first)
    clause = [i for i in range(first, max(last, match.last)) if tokens[i].kind in ("word", "number")]
    used = sum(i in taken for i in clause)
    small = sum(tokens[i].text in lexicon.small for i in clause if i not in taken)
    if (used + 0.5 * small) / max(len(clause), 1) < 0.7:
        return None
    return Intent(kind, None, span, message[span.start: span.end])


def _settle(found: list[tuple[int, Intent]]) -> list[Intent]:
    """Of intents on the same words the one that used more of them stands; then the longer, then a named one."""
    result: list[Intent] = []
    for _, intent in sorted(found, key=lambda f: (-f[0], -(f[1].span.end - f[1].span.start), f[1].about is None, f[1].kind)):
        clash = [o for o in result if o.span.start < intent.span.end and intent.span.start < o.span.end]
        if not clash or {intent.kind, *[c.kind for c in clash]} <= {"yes", "cured", "done"}:
            result.append(intent)
    return sorted(result, key=lambda i: (i.span.start, i.kind))
