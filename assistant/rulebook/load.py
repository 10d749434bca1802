"""Folder -> Rulebook, or every complaint about it.

Stages: syntax of each file, shape of each entry, then agreement between entries (see `links` and `numbers`).
Each stage collects all it finds; a later stage runs on what the earlier ones could read.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from assistant.problems import KnowledgeError, Problem, nearest
from assistant.rulebook import conditions, links, numbers, shapes
from assistant.rulebook.book import Phrase, Rulebook
from assistant.rulebook.models import KINDS, WORD_KINDS
from assistant.rulebook.source import Source, read_file

MAX_FILES = 2000


def load(folder: Path) -> Rulebook:
    """Read a knowledge folder.

    Returns the Rulebook, with its warnings. Raises KnowledgeError with every error found, in order of place.
    """
    book, problems = examine(folder)
    errors = [p for p in problems if p.level == "error"]
    if errors:
        raise KnowledgeError(errors)
    book.warnings = sorted(p for p in problems if p.level == "warning")
    return book


def examine(folder: Path) -> tuple[Rulebook, list[Problem]]:
    """Read a folder as far as it can be read; returns what there is and all that is wrong with it."""
    book = Rulebook(folder=str(folder))
    sources, problems = _read_all(folder)
    places: dict[tuple[str, str], tuple[Source, tuple]] = {}
    digest = hashlib.sha256()
    for source in sources:
        digest.update(source.file.encode())
        digest.update(repr(source.value).encode())
        if source.value is not None:
            _take_file(book, source, places)
    book.fingerprint = digest.hexdigest()[:16]
    _parse_conditions(book, places)
    if sources:
        links.check(book, places)
        numbers.check(book, places)
    for source in sources:
        problems.extend(source.problems)
    return book, sorted(set(problems))


def _read_all(folder: Path) -> tuple[list[Source], list[Problem]]:
    shown = folder.name or str(folder)
    if not folder.is_dir():
        what = "is not a folder" if folder.exists() else "does not exist"
        return [], [Problem(str(folder), 1, 1, "error", "folder-missing", f"The knowledge folder '{folder}' {what}.",
                            "name the right folder with --knowledge DIR, or install Tickover anew.")]
    try:
        files = sorted(p for p in folder.rglob("*.yaml") if not p.name.endswith(".cases.yaml"))
    except OSError as error:
        return [], [Problem(str(folder), 1, 1, "error", "folder-unreadable",
                            f"The knowledge folder cannot be read: {error.strerror}.", "give it read permission.")]
    if not files:
        return [], [Problem(str(folder), 1, 1, "error", "folder-empty", "The knowledge folder holds no .yaml file.",
                            "name the right folder with --knowledge DIR.")]
    if len(files) > MAX_FILES:
        return [], [Problem(str(folder), 1, 1, "error", "folder-too-large", f"The folder holds {len(files)} files.",
                            f"keep it under {MAX_FILES}, or name the right folder.")]
    root = folder.resolve()
    sources = []
    for path in files:
        name = f"{shown}/{path.relative_to(folder).as_posix()}"
        if not path.resolve().is_relative_to(root):
            outside = Source(name)
            outside.complain((), "outside-folder", "This is a link to a place outside the knowledge folder.",
                             "copy the file into the folder.")
            sources.append(outside)
            continue
        sources.append(read_file(path, name))
    return sources, []


def _take_file(book: Rulebook, source: Source, places: dict) -> None:
    if not isinstance(source.value, dict):
        source.complain((), "file-shape", "A knowledge file is a mapping of kinds, such as 'rules:' or 'faults:'.",
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
            source.complain((kind,), "file-shape", f"'{kind}' must be a mapping from id to entry.",
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
        source.complain(path, "id-shape", f"'{key}' is not an id.", "use lower-case words joined by hyphens.")
        return
    if not isinstance(raw, dict):
        source.complain(path, "entry-shape", f"The entry '{key}' must be a mapping.", "indent its keys under the id.")
        return
    shelf = getattr(book, kind)
    if key in shelf:
        first = shelf[key]
        source.complain(path, "duplicate-id", f"'{key}' is described here and at {first.file}:{first.line} too.",
                        "rename one of them, or merge the two.")
        return
    reserved = {"id", "file", "line"} & set(raw)
    for name in reserved:
        source.complain((*path, name), "unknown-key", f"'{name}' is not a key of {kind}.", "remove the line.")
    if reserved:
        return
    line, _ = source.at(path)
    try:
        entry = KINDS[kind](id=key, file=source.file, line=line, **raw)
    except (ValidationError, TypeError) as error:
        shapes.complain(error, source, path, raw, KINDS[kind])
        return
    shelf[key] = entry
    places[kind, key] = (source, path)


def _take_words(book: Rulebook, source: Source, kind: str, entries: dict, language: str) -> None:
    for key, raw in entries.items():
        key, path = str(key), (kind, key)
        if kind == "contractions":
            if isinstance(raw, str):
                book.contractions[key] = raw
            else:
                source.complain(path, "entry-shape", "A contraction is written out as text.", "write wont: will not.")
        elif kind in ("words", "talk"):
            items = _texts(raw, source, path)
            getattr(book, kind).setdefault(key, []).extend(text for text, _ in items)
        elif isinstance(raw, dict):
            for value, lines in raw.items():
                for text, line in _texts(lines, source, (*path, value)):
                    book.phrases.append(Phrase(key, str(value), text, language, source.file, line))
        else:
            source.complain(path, "entry-shape", f"'{key}' needs a mapping from value to phrases.",
                            "write the value, a colon, and the phrases as a list under it.")


def _texts(raw: Any, source: Source, path: tuple) -> list[tuple[str, int]]:
    if isinstance(raw, (str, int, float)) and not isinstance(raw, bool):
        return [(str(raw), source.at(path)[0])]
    if not isinstance(raw, list):
        source.complain(path, "entry-shape", "A list of texts belongs here.", "write one text a line, each after '- '.")
        return []
    result = []
    for index, item in enumerate(raw):
        if isinstance(item, (str, int, float)) and not isinstance(item, bool):
            result.append((str(item), source.at((*path, index))[0]))
        else:
            source.complain((*path, index), "entry-shape", "This line is not a text.", "quote it, or write it without ': '.")
    return result


def _parse_conditions(book: Rulebook, places: dict) -> None:
    for rule in book.rules.values():
        source, path = places["rules", rule.id]
        parsed = conditions.parse(rule.when, source, (*path, "when"))
        if parsed is not None:
            book.conditions[rule.id] = parsed
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
