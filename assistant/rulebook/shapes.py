"""From pydantic's errors to complaints a trainer understands, each at its line and column."""

from __future__ import annotations

import re
from typing import Any

from pydantic import BaseModel, ValidationError

from assistant.problems import nearest, quoted
from assistant.rulebook.source import Path_, Source, as_word

ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*\Z")
_NUMBER = re.compile(r"\s*([-+]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+))\s*\S{1,12}\s*\Z")
_BOUNDS = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}
_UNION = {"float", "str", "int"}  # pydantic names the tried alternative at the end of its path


def near_text(near: list[str]) -> str:
    """' Nearest: ...' or nothing."""
    return f" Nearest: {', '.join(repr(n) for n in near)}." if near else ""


def named(value: Any) -> str:
    """What sort of thing stands there, in words."""
    if value is None:
        return "nothing"
    return {dict: "a mapping", list: "a list", str: "a text", bool: "true or false"}.get(type(value), "a number")


def as_id(key: str) -> str:
    """An id made of a key that is none; empty when nothing is left of it."""
    return "-".join(re.findall(r"[a-z0-9]+", key.lower()))


def complain(error: ValidationError, source: Source, path: Path_, raw: Any, model: type[BaseModel]) -> None:
    """One complaint for each thing that is wrong with one entry."""
    told: set[tuple] = set()
    details = error.errors(include_url=False, include_context=True)
    misspelt = {(*d["loc"][:-1], *nearest(str(d["loc"][-1]), _keys(model, d["loc"]), 1)) for d in details if d["type"] == "extra_forbidden"}
    for detail in details:
        where = _existing(raw, detail["loc"])
        if detail["type"] == "missing" and detail["loc"] in misspelt:  # it is there, under a misspelt name
            continue
        if detail["type"] not in ("missing", "extra_forbidden"):
            if where in told:  # the other alternatives of a union fail at the same value
                continue
            told.add(where)
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
    kind, loc, given = detail["type"], detail["loc"], detail.get("input")
    name = next((step for step in reversed(loc) if isinstance(step, str) and step not in _UNION), "entry")
    shown = quoted(as_word(given)) if isinstance(given, (str, int, float)) else f"'{name}' holds {named(given)}; it"
    if kind == "extra_forbidden":
        near = nearest(name, _keys(model, loc))
        source.complain(path, "unknown-key", f"'{name}' is not a key of this entry.{near_text(near)}",
                        f"write {near[0]}." if near else "look at the indentation, or remove the line.")
    elif kind == "missing" and not isinstance(loc[-1], int):
        source.complain(path, "missing-key", f"The key '{name}' is missing.", f"add {name}: to this entry.")
    elif kind == "literal_error":
        expected = detail["ctx"]["expected"].replace("'", "").replace(" or ", ", ").split(", ")
        near = nearest(str(given), expected)
        source.complain(path, "unknown-word", f"{shown} cannot stand here; expected one of: {', '.join(expected)}.",
                        f"write {near[0]}." if near else "choose one of them.")
    elif kind in ("greater_than", "less_than", "greater_than_equal", "less_than_equal"):
        source.complain(path, "number-out-of-range", f"{shown} is out of range: it must be {_bound(detail['ctx'])}.",
                        "nothing is ever certain; write the number you would bet on." if _percent(detail["ctx"]) else "correct the number.")
    elif loc and loc[-1] in _UNION:
        source.complain(path, "wrong-shape", f"'{name}' takes a number or one word, not {named(given)}.", "write a number, or the id of a limit.")
    elif kind.startswith(("float", "int", "finite")):
        number = _NUMBER.match(given) if isinstance(given, str) and len(given) < 60 else None
        source.complain(path, "not-a-number", f"{shown} is not a {'whole ' if kind == 'int_from_float' else ''}number.",
                        f"write the bare number: {number.group(1)}." if number else "write a plain number, such as 12 or 0.5.")
    elif kind.startswith("bool"):
        source.complain(path, "not-yes-or-no", f"{shown} is neither yes nor no.", "write yes or no.")
    elif kind == "string_type":
        source.complain(path, "not-a-text", f"'{name}' takes a text, not {named(given)}.", "write words; put them in quotes if they hold ': ' or look like a number.")
    elif kind == "string_pattern_mismatch":
        source.complain(path, "wrong-shape", f"{shown} is not written as '{name}' takes it.", f"look at '{name}' in DEVELOPERS.md, under 'facts'.")
    elif kind in ("dict_type", "model_type", "model_attributes_type"):
        source.complain(path, "wrong-shape", f"'{name}' takes a mapping of keys, not {named(given)}.", "write keys with colons under it.")
    elif kind == "tuple_type" or kind in ("missing", "too_long") and isinstance(given, list):
        source.complain(path, "wrong-shape", f"'{name}' takes two numbers, the lower one first.", f"write {name}: [0, 20].")
    else:
        source.complain(path, "wrong-shape", f"'{name}' takes a list with at least one entry, not {'an empty one' if given == [] else named(given)}.",
                        "write one entry a line, each after '- '.")


def _bound(context: dict) -> str:
    return next(f"{word} {context[key]:g}" for key, word in _BOUNDS.items() if key in context)


def _percent(context: dict) -> bool:
    """Whether the bound is one of those of natural frequencies."""
    return context.get("gt") == 0 or context.get("lt") in (100, 1000)


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
