"""`tickover knowledge list | show | check`: what is in the files, where, and what is wrong with it."""

from __future__ import annotations

import argparse
import json
import sys
from typing import Any

from assistant.problems import count, nearest
from assistant.rulebook.book import Rulebook
from assistant.rulebook.conditions import topics
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import examine, load
from assistant.rulebook.models import KINDS

_WORK = "work"  # facts about work done are listed as a kind of their own too: other programs ask for it


def knowledge_command(options: argparse.Namespace) -> int:
    """Run one of the knowledge actions; returns the exit status."""
    folder = knowledge_folder(options.knowledge)
    if options.action == "check":
        return _check(folder, options)
    book = load(folder)
    if options.action == "list":
        return _list(book, options)
    return _show(book, options.id)


def listing(book: Rulebook) -> dict[str, list[dict[str, Any]]]:
    """kind -> entries with id, file, line and plain name; facts also carry their values."""
    result: dict[str, list[dict[str, Any]]] = {}
    for kind in KINDS:
        rows = []
        for entry in book.kind(kind).values():
            row = {"id": entry.id, "file": entry.file, "line": entry.line,
                   "plain": getattr(entry, "plain", None) or getattr(entry, "says", None) or getattr(entry, "hazard", "")}
            if kind == "facts":
                row["values"] = list(book.values(entry.id))
            if kind == "checks":
                row["outcomes"] = list(book.values(entry.id))
            rows.append(row)
        result[kind] = sorted(rows, key=lambda r: r["id"])
    result["recent-work"] = [
        {"id": value, "file": fact.file, "line": fact.line, "plain": plain}
        for fact in book.facts.values() if fact.about == _WORK for value, plain in (fact.values or {}).items()]
    result["phrases"] = [{"id": f"{p.topic}: {p.value}", "file": p.file, "line": p.line, "plain": p.pattern} for p in book.phrases]
    return result


def _list(book: Rulebook, options: argparse.Namespace) -> int:
    whole = listing(book)
    if options.kind:
        if options.kind not in whole:
            near = nearest(options.kind, whole)
            print(f"tickover knowledge list: no kind '{options.kind}'" + (f"; did you mean '{near[0]}'?" if near else f"; kinds: {', '.join(whole)}"),
                  file=sys.stderr)
            return 2
        whole = {options.kind: whole[options.kind]}
    if options.json:
        json.dump(whole, sys.stdout, ensure_ascii=False)
        print()
        return 0
    for kind, rows in whole.items():
        print(f"{kind} ({len(rows)})")
        for row in rows:
            print(f"  {row['id']:36} {row['plain']}  {row['file']}:{row['line']}")
    return 0


def _show(book: Rulebook, identity: str) -> int:
    found = [(kind, book.kind(kind)[identity]) for kind in KINDS if identity in book.kind(kind)]
    if not found:
        near = nearest(identity, [i for kind in KINDS for i in book.kind(kind)])
        print(f"tickover knowledge show: nothing is called '{identity}'" + (f"; did you mean '{near[0]}'?" if near else ""), file=sys.stderr)
        return 2
    for kind, entry in found:
        print(f"{kind}: {identity}  ({entry.file}:{entry.line})")
        for name, value in entry.model_dump(by_alias=True, exclude_defaults=True).items():
            if name not in ("id", "file", "line"):
                print(f"  {name}: {value}")
    uses = uses_of(book, identity)
    print(f"used by {count(len(uses), 'rule')}:" if uses else "used by no rule")
    for rule in uses:
        print(f"  {rule}  ({book.rules[rule].file}:{book.rules[rule].line})  {book.rules[rule].says}")
    return 0


def uses_of(book: Rulebook, identity: str) -> list[str]:
    """Rules that name an id in their condition or their numbers."""
    return sorted(r.id for r in book.rules.values()
                  if identity in r.seen_in or identity in r.then or identity in r.lacks or identity in r.has or identity in r.cautions
                  or identity in r.replaces or (r.id in book.conditions and identity in topics(book.conditions[r.id])))


def _check(folder, options: argparse.Namespace) -> int:
    _, problems = examine(folder)
    errors = [p for p in problems if p.level == "error"]
    warnings = [p for p in problems if p.level == "warning"]
    if options.json:
        json.dump([p.as_json() for p in problems], sys.stdout, ensure_ascii=False)
        print()
    else:
        for problem in problems:
            print(problem.text())
        print(f"{count(len(errors), 'error')}, {count(len(warnings), 'warning')}.")
    return 1 if errors or (options.strict and warnings) else 0
