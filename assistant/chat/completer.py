"""What Tab offers: the quick answers to the open question, or names after a question about one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Callable, Iterable, Sequence

from assistant.chat.screen import mark
from assistant.chat.sitting import lettered
from assistant.chat.text import safe

if TYPE_CHECKING:
    from prompt_toolkit.completion import Completer

    from assistant.dialogue.case import Case
    from assistant.language.answers import Pending
    from assistant.language.read import Reader
    from assistant.rulebook.book import Rulebook

MOST = 40
# how a question about something may begin, longest first, and which kinds of entry can follow
LEADS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("i want to check the", ("checks",)), ("i want to check", ("checks",)), ("how do i use a", ("tools",)), ("how do i", ("checks",)),
    ("what does it mean", ()), ("what is a", ("glossary", "tools")), ("what is the", ("glossary", "faults", "checks")),
    ("what's a", ("glossary", "tools")), ("what's the", ("glossary", "faults", "checks")), ("whats a", ("glossary", "tools")),
    ("what is", ("glossary", "faults", "checks", "tools")), ("what's", ("glossary", "faults", "checks", "tools")),
    ("why not the", ("faults", "checks")), ("why not a", ("faults",)), ("why not", ("faults", "checks")),
    ("why the", ("faults", "checks")), ("why a", ("faults",)), ("why", ("faults", "checks")),
    ("i haven't got a", ("tools",)), ("i have no", ("tools",)),
)


@dataclass(frozen=True)
class Choice:
    """A quick answer: what typing it sends, and how it is shown."""

    send: str
    shown: str
    words: tuple[str, ...]  # lower-case beginnings that bring it up


@dataclass(frozen=True)
class Suggestion:
    """One thing Tab offers: `text` replaces the last `back` characters; `shown` stands in the menu."""

    text: str
    back: int
    shown: str


def suggest(text: str, choices: Sequence[Choice], names: Callable[[tuple[str, ...]], Sequence[str]]) -> list[Suggestion]:
    """What fits the text typed so far. Pure: `names` gives the plain names of some kinds of entry, best first."""
    if "\n" in text:
        return []
    typed = text.lstrip()
    low = " ".join(typed.lower().split())
    if not low:
        return [Suggestion(c.send, len(text), c.shown) for c in choices]
    for lead, kinds in LEADS:
        if low == lead and typed.endswith(" ") or low.startswith(lead + " "):
            rest = low[len(lead):].strip()
            back = len(typed) - len(_skip(typed, len(lead.split())))
            found = [n for n in names(kinds) if _fits(rest, n)]
            found.sort(key=lambda n: not n.lower().startswith(rest))
            return [Suggestion(n, len(typed) - back, n) for n in found[:MOST]]
    return [Suggestion(c.send, len(text), c.shown) for c in choices if any(w.startswith(low) for w in c.words)]


def _skip(text: str, words: int) -> str:
    """The text after its first words and the spaces behind them."""
    for _ in range(words):
        text = text.lstrip()
        cut = next((i for i, c in enumerate(text) if c.isspace()), len(text))
        text = text[cut:]
    return text.lstrip()


def _fits(typed: str, name: str) -> bool:
    """Whether every typed word begins some word of the name."""
    own = name.lower().replace("-", " ").split()
    return all(any(word.startswith(part) for word in own) for part in typed.split())


def choices_of(pending: "Pending | None", letters: bool = False, reader: "Reader | None" = None) -> list[Choice]:
    """The quick answers to what was last asked. With a reader, each is tried: words that it would not take for the answer give way to the mark."""
    if pending is None:
        return []
    made = []
    for number, identity in enumerate(pending.choices, start=1):
        plain = safe(pending.plain[number - 1]) if number <= len(pending.plain) else identity
        word, sign = safe(identity.replace("-", " ")), mark(number, letters)
        send = word if pending.kind in ("check", "proof") else plain
        if not _understood(pending, send, identity, reader):
            send = sign
        shown = f"{sign}  {plain}" if plain.lower().startswith(word) or pending.kind not in ("check", "proof") else f"{sign}  {word}: {plain}"
        words = [sign, word.lower(), *plain.lower().split(), plain.lower()]
        made.append(Choice(send, shown, tuple(words)))
    return made


def _understood(pending: "Pending", text: str, identity: str, reader: "Reader | None") -> bool:
    """Whether these words name this choice; its number or letter always does."""
    from assistant.language.answers import pick
    from assistant.language.text import tokenize

    if reader is not None and pending.kind in ("question", "check"):
        heard = reader.read(text, pending)
        told = [s.value for s in heard.statements if s.fact == pending.id and not s.denied]
        return [*told, *(r.outcome for r in heard.readings if r.check == pending.id)] == [identity]
    chosen = pick(pending, tokenize(text, {}), set())
    return chosen is not None and chosen[0] == identity


class Names:
    """Plain names of entries by kind, those that the evidence points to first."""

    def __init__(self, book: "Rulebook") -> None:
        self._by_kind = {kind: [(e.id, self._name(kind, e)) for e in book.kind(kind).values()]
                         for kind in ("faults", "checks", "glossary", "tools")}

    @staticmethod
    def _name(kind: str, entry) -> str:
        return safe(entry.id.replace("-", " ") if kind == "glossary" else entry.plain)

    def of(self, kinds: Iterable[str], first: Sequence[str] = ()) -> list[str]:
        """The names of these kinds without doubles; `first` are ids that go before the rest."""
        rank = {identity: place for place, identity in enumerate(first)}
        names = [(rank.get(identity, len(rank)), place, name.lower(), name)
                 for place, kind in enumerate(kinds) for identity, name in self._by_kind.get(kind, ())]
        return list(dict.fromkeys(name for *_, name in sorted(names)))


def completer(case: Callable[[], "Case | None"]) -> "Completer":
    """The adapter for prompt_toolkit."""
    from prompt_toolkit.completion import Completer, Completion

    class Adapter(Completer):
        """Asks `suggest` with what the conversation stands at."""

        _names: Names | None = None
        _tried: tuple[object, list[Choice]] = (None, [])

        def get_completions(self, document, complete_event):
            """prompt_toolkit's own call."""
            current = case()
            if current is None:
                return
            if self._names is None:
                self._names = Names(current.mind.book)
            names = self._names
            order = [s.fault for s in current.thinking.ranking.standings] if current.thinking is not None else []
            pending = current.state.pending
            if self._tried[0] is not pending:
                self._tried = (pending, choices_of(pending, lettered(current), current.mind.reader))
            for s in suggest(document.text_before_cursor, self._tried[1], lambda kinds: names.of(kinds, order)):
                yield Completion(s.text, start_position=-s.back, display=s.shown)

    return Adapter()
