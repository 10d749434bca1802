"""The knowledge files as they are written: which keys stand in an entry, and every sentence with its place."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any, Iterator

import yaml

from assistant.rulebook.find import knowledge_folder

FOLDER = knowledge_folder()
HERE = Path(__file__).parent


@cache
def catalogue() -> dict[str, Any]:
    """The ids other programs rely on, as words."""
    return yaml.load((HERE / "catalogue-ids.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)


@cache
def files() -> tuple[tuple[str, dict[str, Any]], ...]:
    """Every knowledge file (not the cases beside them), as plain words, in name order."""
    return tuple((str(p.relative_to(FOLDER)), yaml.load(p.read_text(encoding="utf-8"), yaml.BaseLoader) or {})
                 for p in sorted(FOLDER.rglob("*.yaml")) if not p.name.endswith(".cases.yaml"))


@cache
def entries(kind: str) -> dict[str, dict[str, Any]]:
    """id -> entry as written, of one kind."""
    return {name: entry for _, content in files() for name, entry in (content.get(kind) or {}).items()}


def sentences() -> Iterator[tuple[str, str]]:
    """(file, text) of everything that is shown to somebody: no phrases, which are what people say to the assistant."""
    for name, content in files():
        if not name.startswith("phrases"):
            yield from ((name, text) for text in _texts(content))


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)
