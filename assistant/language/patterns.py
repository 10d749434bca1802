"""The small pattern language of the phrase files.

`(a|b c)` one of these, `[x]` may be there, `...` up to seven other words, `<name>` a word class, `<number>` a number, `=word` just that word.
A pattern becomes a sequence of elements; an element is a group of alternatives (word sequences), or a gap.
`a >> b` is a phrase told over several sentences: b somewhere after a. There, `@topic` stands for anything heard of a topic,
`@topic=value` for one value of it, `!a` for something that was not told before the next part, `+a` for a part in the same sentence as the one before it or the next. `@topic=value` alone is what follows from
that value where nothing else is said. `~a` denies the value. `{a b}` are parts in any order, near one another in one sentence.
No regular expressions: a phrase cannot run away.
"""

from __future__ import annotations

from typing import Callable, Mapping, Sequence

from assistant.language.text import plain, unfold

MAX_ALTERNATIVES = 4000
MAX_CHARACTERS = 2000  # of one pattern
MAX_DEPTH = 12  # brackets in brackets
NUMBER = "#"
LATER = ">>"  # what comes after it may be told up to a few sentences later; the reader cuts there before parsing
NOT_BEFORE = "!"  # such a part must not have been told before the next one, and since the one before it
CLOSE = "+"  # such a part stands in the same sentence as the one before it, or in the next
HEARD = "@"  # such a part is a topic: anything heard of it will do, or the value named after '='
AS_TYPED = "="  # such a word is heard only as it is written, without endings and slips
DENIES = "~"  # a phrase that begins so says that the value is not so: 'there is some fuel in it' denies that the tank is empty
ANY_ORDER = "{"  # a phrase that begins so is a set of parts in any order, near one another
GAP_MARK = -1


class PatternError(ValueError):
    """A pattern that does not read; its text says why in plain words."""


Alternatives = frozenset[tuple[str, ...]]
Hearing = Callable[[str], tuple[str, ...]]  # a word of a pattern -> the words it is heard as
_MARKS = frozenset(("(", ")", "[", "]", "|", "..."))
_OPENS, _CLOSES = ("(", "["), (")", "]")


def is_scene(pattern: str) -> bool:
    """Whether a phrase is told over several sentences, or rests on what else was heard."""
    return LATER in pattern or pattern.startswith(HEARD)


def hearing(contractions: Mapping[str, str]) -> Hearing:
    """What takes the words of patterns apart as those of a message are: 'its own' is heard as 'it is own', for so many write it so."""
    known: dict[str, tuple[str, ...]] = {}
    short = {plain(key): plain(words) for key, words in contractions.items()}

    def heard(word: str) -> tuple[str, ...]:
        found = known.get(word)
        if found is None:
            mark = AS_TYPED if word.startswith(AS_TYPED) else ""
            number = any(letter.isdigit() for letter in word)  # in messages too numbers are left alone
            found = known[word] = (word,) if number else tuple((mark + unfold(word.removeprefix(mark), short)).split())
        return found

    return heard


def in_words(text: str, heard: Hearing) -> list[str]:
    """A member of a word class as the words it is heard as."""
    return [part for word in plain(text.lower()).split() for part in heard(word)]


def parse(pattern: str, words: Mapping[str, Sequence[str]], made: dict[str, Alternatives] | None = None, heard: Hearing | None = None) -> list[tuple[Alternatives | None, bool]]:
    """A pattern as (alternatives or None for a gap, optional) in order. Raises PatternError.

    `made` keeps the word classes already taken apart, where many patterns are read one after the other; `heard` takes apart the
    words of the pattern itself, which are otherwise left as they are written.
    """
    if len(pattern) > MAX_CHARACTERS:
        raise PatternError(f"it is longer than {MAX_CHARACTERS} characters")
    pattern = pattern.strip().removeprefix(DENIES).strip()
    if pattern.strip().startswith(ANY_ORDER) and pattern.strip().endswith("}"):
        pattern = pattern.strip()[1:-1]
    tokens, depth = _lex(pattern), 0
    if heard is not None:
        tokens = [part for token in tokens for part in ((token,) if token in _MARKS or token[0] == "<" else heard(token))]
    if "'" in pattern or '"' in pattern:
        tokens = [token.strip("'\"") for token in tokens]
    for token in tokens:
        if token in _OPENS:
            depth += 1
            if depth > MAX_DEPTH:
                raise PatternError(f"brackets stand in brackets more than {MAX_DEPTH} deep")
        elif token in _CLOSES:
            depth -= 1
    items, rest = _sequence(tokens, words, None, {} if made is None else made)
    if rest:
        raise PatternError(f"'{rest[0]}' stands where it closes nothing")
    if not any(alternatives is not None and not optional for alternatives, optional in items):
        raise PatternError("nothing in it must be there")
    return items


def _lex(pattern: str) -> list[str]:
    spaced = pattern.replace("...", " … ")
    for char in "()[]|":
        spaced = spaced.replace(char, f" {char} ")
    tokens = spaced.lower().replace("…", "...").split()
    return tokens if spaced.isascii() else [token if token[0] == "<" else plain(token) for token in tokens]


def _sequence(tokens: list[str], words: Mapping[str, Sequence[str]], close: str | None, made: dict[str, Alternatives]):
    items: list[tuple[Alternatives | None, bool]] = []
    while tokens and tokens[0] not in (")", "]", "|"):
        token = tokens[0]
        if token == "(":
            alternatives, tokens = _choice(tokens[1:], words, ")", made)
            items.append((alternatives, False))
        elif token == "[":
            alternatives, tokens = _choice(tokens[1:], words, "]", made)
            items.append((alternatives, True))
        elif token == "...":
            items.append((None, True))
            tokens = tokens[1:]
        elif token.startswith("<") and token.endswith(">"):
            name = token[1:-1]
            if name == "number":
                items.append((frozenset({(NUMBER,)}), False))
                tokens = tokens[1:]
                continue
            if name not in words:
                raise PatternError(f"there is no word class '{name}'")
            if name not in made:
                made[name] = frozenset(tuple(plain(member.lower()).split()) for member in words[name] if member.split())
            items.append((made[name], False))
            tokens = tokens[1:]
        else:
            items.append((frozenset({(token,)}), False))
            tokens = tokens[1:]
    if close is None and tokens and tokens[0] in ("|",):
        raise PatternError("'|' stands outside brackets")
    return items, tokens


def _choice(tokens: list[str], words: Mapping[str, Sequence[str]], close: str, made: dict[str, Alternatives]) -> tuple[Alternatives, list[str]]:
    options: set[tuple[str, ...]] = set()
    while True:
        at = begun = 0
        for token in tokens:  # plain words, as most choices are
            if token == "|" or token == close:
                if at == begun:
                    break
                options.add(tuple(tokens[begun:at]))
                begun = at + 1
                if token == close:
                    options.discard(())
                    return frozenset(options), tokens[begun:]
            elif token in _MARKS or token[:1] == "<":
                break
            at += 1
        items, tokens = _sequence(tokens[begun:], words, close, made)
        options |= _flatten(items)
        if not tokens:
            raise PatternError(f"a '{'(' if close == ')' else '['}' is never closed")
        mark, tokens = tokens[0], tokens[1:]
        if mark == close:
            options.discard(())
            if not options:
                raise PatternError("brackets with nothing in them")
            return frozenset(options), tokens
        if mark != "|":
            raise PatternError(f"'{mark}' does not close the bracket that is open")


def _flatten(items: list[tuple[Alternatives | None, bool]]) -> set[tuple[str, ...]]:
    """An inner sequence as plain word sequences. A gap inside brackets is not kept: it would have no end."""
    if len(items) == 1 and items[0][0] is not None and not items[0][1]:
        return set(items[0][0])
    result: set[tuple[str, ...]] = {()}
    for alternatives, optional in items:
        if alternatives is None:
            continue
        choices = set(alternatives) | ({()} if optional else set())
        result = {left + right for left in result for right in choices}
        if len(result) > MAX_ALTERNATIVES:
            raise PatternError(f"it stands for more than {MAX_ALTERNATIVES} phrases")
    return result
