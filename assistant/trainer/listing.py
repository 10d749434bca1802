"""`tickover knowledge list | show`: what is in the files, where, and where it is used."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from assistant.problems import count, nearest
from assistant.rulebook.book import Rulebook
from assistant.rulebook.load import load
from assistant.rulebook.models import KINDS
from assistant.trainer.around import neighbourhood
from assistant.trainer.layout import flow, wrapped
from assistant.trainer.uses import uses

_MOST = 6
_WORK = "work"  # facts about work done are listed as a kind of their own too: other programs ask for it


def looking_command(folder: Path, options: argparse.Namespace) -> int:
    """`list` and `show`; returns the exit status."""
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
                print("\n".join(wrapped(f"  {name}: ", flow(value), 6)))
    for line in used_in(book, identity):
        print(line)
    around = neighbourhood(book, identity)
    if around:
        print("around it:")
        print("\n".join(around))
    return 0


def used_in(book: Rulebook, identity: str) -> list[str]:
    """Where an id is named by other entries, gathered by what it is used as."""
    places: dict[str, list[str]] = {}
    for use in uses(book):
        if use.id == identity:
            shelf = getattr(book, use.kind, {})
            entry = shelf.get(use.entry) if isinstance(shelf, dict) else None
            places.setdefault(f"{use.as_} ({use.kind})", []).append(f"{use.entry} ({entry.file}:{entry.line})" if entry is not None else use.entry)
    if not places:
        return ["used nowhere"]
    lines = [f"used in {count(sum(len(p) for p in places.values()), 'place')}:"]
    for name, found in sorted(places.items()):
        lines.append(f"  {name}: {', '.join(found[:_MOST])}" + (f" and {len(found) - _MOST} more" if len(found) > _MOST else ""))
    return lines
