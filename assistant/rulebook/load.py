"""Folder -> Rulebook, or every complaint about it.

Stages: syntax of each file, shape of each entry, then agreement between entries (see `links` and `numbers`).
Each stage collects all it finds; a later stage runs on what the earlier ones could read.
"""

from __future__ import annotations

import hashlib
import re
from functools import lru_cache
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from assistant.problems import KnowledgeError, Problem, nearest, quoted
from assistant.rulebook import cache, conditions, links, numbers, shapes
from assistant.rulebook.book import Phrase, Rulebook, Spoken
from assistant.rulebook.files import read_all
from assistant.rulebook.models import KINDS, WORD_KINDS
from assistant.rulebook.rates import applied
from assistant.rulebook.source import Source, as_word


_UNSEEN = frozenset({"file-unreadable", "folder-unreadable", "file-too-large"})  # errors, all of them: such files are never used
_OWN_WORDS = frozenset({"unknown-key", "unknown-kind", "unknown-word", "unknown-computation"})  # no other file could make these known


def load(folder: Path) -> Rulebook:
    """Read a knowledge folder.

    Returns the Rulebook, with its warnings. Raises KnowledgeError with every error found, in order of place. Files that were
    read before and are unchanged are not parsed again (see `cache`); `examine` always reads them.
    """
    kept = cache.fetch(folder)
    book = _again(folder, kept) if kept is not None else None
    if book is not None:
        return applied(book)
    sources: list[Source] = []
    book, problems = examine(folder, sources)
    errors = [p for p in problems if p.level == "error"]
    if errors:
        raise KnowledgeError(errors)
    book.warnings = sorted(p for p in problems if p.level == "warning")
    cache.store(folder, sources, book.fingerprint, book.warnings)
    return applied(book)


def _again(folder: Path, kept: cache.Kept) -> Rulebook | None:
    """The rulebook of files that were found sound before; None where they do not make one after all."""
    book = Rulebook(folder=str(folder), fingerprint=kept.fingerprint, warnings=kept.warnings)
    places: dict[tuple[str, str], tuple[Source, tuple]] = {}
    for source in kept.sources:
        _take_file(book, source, places)
    _parse_conditions(book, places)
    return None if any(source.problems for source in kept.sources) else book


def examine(folder: Path, keep: list[Source] | None = None) -> tuple[Rulebook, list[Problem]]:
    """Read a folder as far as it can be read; returns what there is and all that is wrong with it.

    `keep` is filled with the files as they were read, for those who ask where something stands.
    """
    book = Rulebook(folder=str(folder))
    sources, problems = read_all(folder)
    if keep is not None:
        keep.extend(sources)
    places: dict[tuple[str, str], tuple[Source, tuple]] = {}
    digest = hashlib.sha256()
    for source in sources:
        digest.update(source.file.partition("/")[2].encode())  # not the folder: an installed copy is the same files
        digest.update(repr(source.value).encode())
        if source.value is not None or not source.problems:
            _take_file(book, source, places)
    book.fingerprint = digest.hexdigest()[:16]
    _parse_conditions(book, places)
    if sources:
        links.check(book, places, sources)
        numbers.check(book, places)
    for source in sources:
        problems.extend(source.problems)
    if any(p.code in _UNSEEN for p in problems):  # what a name leads to may stand in what nobody could look into
        problems = [p for p in problems if not p.code.startswith("unknown-") or p.code in _OWN_WORDS]
    return book, sorted(set(problems))


def _take_file(book: Rulebook, source: Source, places: dict) -> None:
    if not isinstance(source.value, dict):
        source.complain((), "file-shape", f"A knowledge file is a mapping of kinds, such as 'rules:' or 'faults:', not {shapes.named(source.value)}.",
                        "put the entries under their kind.")
        return
    language = source.value.get("language", "en")
    if not isinstance(language, str):
        source.complain(("language",), "file-shape", "'language' is a short code such as en.", "write language: en.")
        language = "en"
    for kind, entries in source.value.items():
        if kind == "language":
            continue
        if kind not in KINDS and kind not in WORD_KINDS:
            near = nearest(kind, [*KINDS, *WORD_KINDS])
            source.complain((kind,), "unknown-kind", f"'{kind}' is not a kind of entry.{shapes.near_text(near)}",
                            f"write {near[0]}." if near else "use one of: " + ", ".join([*KINDS, *WORD_KINDS]) + ".")
            continue
        if not isinstance(entries, dict) or not entries:
            source.complain((kind,), "file-shape", f"'{kind}' holds no entries; it takes a mapping from id to entry.",
                            "indent the entries under it, each with its id and a colon.")
            continue
        if kind in KINDS:
            for key, raw in entries.items():
                _take_entry(book, source, kind, str(key), raw, places)
        else:
            _take_words(book, source, kind, entries, language)


def _take_entry(book: Rulebook, source: Source, kind: str, key: str, raw: Any, places: dict) -> None:
    path = (kind, key)
    if not shapes.ID.match(key) and kind != "measured":
        like, head = shapes.as_id(key), re.split(r"\s*[\[{]", key)[0]
        source.complain(path, "id-shape", f"{quoted(key)} is not an id: ids are lower-case words and numbers joined by hyphens.",
                        f"put a colon after '{head}'." if head != key else f"write {like}." if like else "write such words.")
        source.unread.add(key)
        return
    if not isinstance(raw, dict):
        source.complain(path, "entry-shape", f"The entry '{key}' holds {shapes.named(raw)}; it takes a mapping of keys.", "indent its keys under the id.")
        source.unread.add(key)
        return
    shelf = getattr(book, kind)
    if key in shelf:
        first = shelf[key]
        source.complain(path, "duplicate-id", f"'{key}' is described here and at {first.file}:{first.line} too.",
                        "rename one of them, or merge the two.")
        return
    for name in sorted({"id", "file", "line"} & set(raw)):  # the loader's own, put there below
        source.complain((*path, name), "unknown-key", f"'{name}' is not a key of this entry.", "remove the line.")
        source.unread.add(key)
    line, _ = source.at(path)
    try:
        entry = KINDS[kind](**{**raw, "id": key, "file": source.file, "line": line})
    except ValidationError as error:
        shapes.complain(error, source, path, raw, KINDS[kind])
        source.unread.add(key)
        return
    object.__setattr__(entry, "__pydantic_fields_set__", _given(frozenset(entry.model_fields_set)))  # of thousands, most are alike, and nobody changes them
    shelf[key] = entry
    places[kind, key] = (source, path)


@lru_cache(maxsize=512)
def _given(names: frozenset[str]) -> set[str]:
    return set(names)


def _take_words(book: Rulebook, source: Source, kind: str, entries: dict, language: str) -> None:
    spoken = book.spoken.setdefault(language, Spoken())
    for key, raw in entries.items():
        key, path = str(key), (kind, key)
        if kind == "contractions":
            if isinstance(raw, str):
                book.contractions[key] = spoken.contractions[key] = raw
            else:
                source.complain(path, "entry-shape", f"'{key}' takes the words it stands for, not {shapes.named(raw)}.", "write for instance wont: will not.")
        elif kind in ("words", "talk", "sums"):
            items = _texts(raw, source, path)
            for shelf in (book, spoken):
                getattr(shelf, kind).setdefault(key, []).extend(text for text, _ in items)
        elif isinstance(raw, dict):
            for value, lines in raw.items():
                for text, line in _texts(lines, source, (*path, value)):
                    book.phrases.append(Phrase(key, str(value), text, language, source.file, line, kind == "beliefs"))
        else:
            source.complain(path, "entry-shape", f"'{key}' takes a mapping from value to phrases, not {shapes.named(raw)}.",
                            "write the value, a colon, and the phrases as a list under it.")


def _texts(raw: Any, source: Source, path: tuple) -> list[tuple[str, int]]:
    if isinstance(raw, (str, int, float)) and not isinstance(raw, bool):
        return [(as_word(raw), source.at(path)[0])]
    if not isinstance(raw, list):
        source.complain(path, "entry-shape", f"'{path[-1]}' takes a list of texts, not {shapes.named(raw)}.", "write one text a line, each after '- '.")
        return []
    result = []
    for index, item in enumerate(raw):
        if isinstance(item, (str, int, float)) and not isinstance(item, bool):
            result.append((as_word(item), source.at((*path, index))[0]))
        else:
            source.complain((*path, index), "entry-shape", f"This line is {shapes.named(item)}, not a text.", "put it in quotes.")
    return result


def _parse_conditions(book: Rulebook, places: dict) -> None:
    for rule in book.rules.values():
        source, path = places["rules", rule.id]
        parsed = conditions.parse(rule.when, source, (*path, "when"))
        if parsed is not None:
            book.conditions[rule.id] = parsed
    for check in book.checks.values():
        if check.offer_when is not None:
            source, path = places["checks", check.id]
            parsed = conditions.parse(check.offer_when, source, (*path, "offer-when"))
            if parsed is not None:
                book.ask_when[check.id] = parsed
    for fact in book.facts.values():
        if fact.ask_when is not None:
            source, path = places["facts", fact.id]
            parsed = conditions.parse(fact.ask_when, source, (*path, "ask-when"))
            if parsed is not None:
                book.ask_when[fact.id] = parsed
    for fault in book.faults.values():
        source, path = places["faults", fault.id]
        parsed = conditions.parse(fault.proof.when, source, (*path, "proof", "when"))
        if parsed is not None:
            book.proofs[fault.id] = parsed
        priors: list = []
        for index, frequency in enumerate(fault.per_1000):
            where = None
            if frequency.when is not None:
                where = conditions.parse(frequency.when, source, (*path, "per-1000", index, "when"))
                if where is None:
                    continue
            priors.append((frequency.usually, where))
        book.priors[fault.id] = priors
