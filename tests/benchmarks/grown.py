"""Knowledge files grown to several times their size, to see how the work grows with them.

Every copy is a world of its own: its facts, checks, faults and rules carry a suffix wherever they are named, and each of
its phrases ends in a word that nobody says. So the rules never fire and the phrases never match, but all must be indexed,
ruled out and kept in mind.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from assistant.rulebook.files import read_all
from assistant.rulebook.source import as_word

COPIED = ("facts", "checks", "faults", "rules", "measured", "limits")
SPOKEN = ("phrases", "beliefs")
SHARED = ("need", "parts", "access", "tools", "instead-tools", "hazards", "source", "cautions", "lacks", "has")  # what names other kinds


def grow(folder: Path, times: int, target: Path) -> Path:
    """Write the files of `folder`, `times` over, under `target`; returns the new folder."""
    sources, problems = read_all(folder)
    assert not problems
    ids = {key for source in sources for kind in COPIED for key in (source.value or {}).get(kind, {})}
    place = target / "knowledge"
    for source in sources:
        name = source.file.partition("/")[2]
        for copy in range(1, times + 1):
            value = source.value if copy == 1 else _copy(source.value, copy, ids)
            if value:
                path = place / (name if copy == 1 else f"copy-{copy}-{name.replace('/', '-')}")
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text("\n".join(f"{kind}:{_entries(held)}" for kind, held in value.items()) + "\n", encoding="utf-8")
    return place


def _entries(held: Any) -> str:
    """One entry a line, as JSON, which YAML is wide enough to read."""
    if not isinstance(held, dict):
        return " " + json.dumps(held)
    return "".join(f"\n  {json.dumps(as_word(key))}: {json.dumps(value)}" for key, value in held.items())


def _copy(value: dict[str, Any], copy: int, ids: set[str]) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for kind, entries in value.items():
        if kind in COPIED:
            made[kind] = {f"{key}-x{copy}": _entry(kind, entry, copy, ids) for key, entry in entries.items()}
        elif kind in SPOKEN:
            made[kind] = {f"{topic}-x{copy}": {_renamed(v, copy, ids): [f"{as_word(p)} zq{copy}z" if ">>" not in as_word(p) else f"zq{copy}z" for p in (lines if isinstance(lines, list) else [lines])]
                                               for v, lines in values.items()} for topic, values in entries.items() if isinstance(values, dict)}
        elif kind == "language":
            made[kind] = entries
    return made if set(made) - {"language"} else {}


def _entry(kind: str, entry: Any, copy: int, ids: set[str]) -> Any:
    if kind == "measured" and isinstance(entry, dict):
        return {key: [f"{as_word(p)} zq{copy}z" for p in value] if key in ("named", "while") and isinstance(value, list) else value for key, value in entry.items()}
    return _renamed(entry, copy, ids)


def _renamed(value: Any, copy: int, ids: set[str]) -> Any:
    if isinstance(value, dict):
        return {_renamed(k, copy, ids): v if k in SHARED else _renamed(v, copy, ids) for k, v in value.items()}
    if isinstance(value, list):
        return [_renamed(v, copy, ids) for v in value]
    return f"{value}-x{copy}" if isinstance(value, str) and value in ids else value
