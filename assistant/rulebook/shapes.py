"""From pydantic's errors to complaints a trainer understands, each at its line and column."""

from __future__ import annotations

import re
from typing import Any

from pydantic import ValidationError
from pydantic import BaseModel

from assistant.problems import nearest
from assistant.rulebook.source import Path_, Source

ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*\Z")


def near_text(near: list[str]) -> str:
    """' Nearest: ...' or nothing."""
    return f" Nearest: {', '.join(repr(n) for n in near)}." if near else ""


def complain(error: Exception, source: Source, path: Path_, raw: Any, model: type[BaseModel]) -> None:
    """One complaint for each thing that is wrong with one entry."""
    if not isinstance(error, ValidationError):
        source.complain(path, "entry-shape", "A key of this entry is not a word.", "write plain keys.")
        return
    for detail in error.errors(include_url=False, include_context=True):
        where = _existing(raw, detail["loc"])
        _one(detail, source, (*path, *where), model)


def _existing(raw: Any, loc: tuple) -> tuple:
    """The part of pydantic's path that stands in the data; a missing key is kept as its parent."""
    result: list[Any] = []
    for step in loc:
        if isinstance(raw, dict) and step in raw:
            raw = raw[step]
        elif isinstance(raw, list) and isinstance(step, int) and step < len(raw):
            raw = raw[step]
        else:
            continue
        result.append(step)
    return tuple(result)


def _one(detail: dict, source: Source, path: Path_, model: type[BaseModel]) -> None:
    kind, name = detail["type"], str(detail["loc"][-1]) if detail["loc"] else "entry"
    given = detail.get("input")
    shown = f"'{given}'" if isinstance(given, (str, int, float)) else "this"
    if kind == "extra_forbidden":
        near = nearest(name, _keys(model, detail["loc"]))
        source.complain(path, "unknown-key", f"'{name}' is not a key of this entry.{near_text(near)}",
                        f"write {near[0]}." if near else "look at the indentation, or remove the line.")
    elif kind == "missing":
        source.complain(path, "missing-key", f"The key '{name}' is missing.", f"add {name}: to this entry.")
    elif kind == "literal_error":
        expected = detail["ctx"]["expected"].replace("'", "").replace(" or ", ", ").split(", ")
        near = nearest(str(given), expected)
        source.complain(path, "unknown-word", f"{shown} cannot stand here; expected one of: {', '.join(expected)}.",
                        f"write {near[0] if near else expected[0]}.")
    elif kind in ("greater_than", "less_than", "greater_than_equal", "less_than_equal"):
        source.complain(path, "number-out-of-range", f"{shown} is out of range: {_bound(detail)}.",
                        "nothing is ever at 0 or 100; write the number you would bet on." if "100" in _bound(detail)
                        or detail.get("ctx", {}).get("gt") == 0 else "correct the number.")
    elif kind.startswith(("float", "int")):
        source.complain(path, "not-a-number", f"{shown} is not a number.", "write a plain number, such as 12 or 0.5.")
    elif kind.startswith("bool"):
        source.complain(path, "not-yes-or-no", f"{shown} is neither yes nor no.", "write yes or no.")
    elif kind == "string_type":
        source.complain(path, "not-a-text", f"A text belongs at '{name}'.", "write words; quote them if they hold ': '.")
    elif kind in ("list_type", "tuple_type", "dict_type", "model_type", "too_short", "too_long"):
        wanted = "mapping" if kind in ("dict_type", "model_type") else "list"
        source.complain(path, "wrong-shape", f"'{name}' should be a {wanted} with entries.",
                        "look at the indentation and the '- ' signs." if wanted == "list" else "write keys with colons under it.")
    else:
        source.complain(path, "wrong-shape", f"'{name}' does not have the shape it should.", "compare with DEVELOPERS.md.")


def _bound(detail: dict) -> str:
    words = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}
    for key, word in words.items():
        if key in detail.get("ctx", {}):
            return f"it must be {word} {detail['ctx'][key]:g}"
    return "it is outside its limits"


def _keys(model: type[BaseModel], loc: tuple) -> list[str]:
    """The keys that may stand where `loc` points, for suggesting the nearest."""
    for step in loc[:-1]:
        for name, info in model.model_fields.items():
            if step in (name, info.alias):
                inner = [a for a in (info.annotation, *getattr(info.annotation, "__args__", ()))
                         if isinstance(a, type) and issubclass(a, BaseModel)]
                if inner:
                    model = inner[0]
    return [info.alias or name for name, info in model.model_fields.items() if name not in ("id", "file", "line")]
