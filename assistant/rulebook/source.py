"""YAML text to plain values by the 1.2 core rules, with the line and column of every key and value.

Composed, not loaded: nothing is ever constructed but text, numbers, true, false, null, lists and
mappings. Anchors, aliases and tags are refused, which also refuses alias bombs; size and depth are bounded.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from assistant.problems import Problem

MAX_BYTES = 2_000_000
MAX_DEPTH = 24

_INT = re.compile(r"[-+]?[0-9]+\Z")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?\Z")
_PLAIN_TAGS = {
    f"tag:yaml.org,2002:{name}"
    for name in ("str", "int", "float", "bool", "null", "map", "seq", "timestamp", "merge", "value")
}
_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

Path_ = tuple[Any, ...]


@dataclass
class Source:
    """One file's values, and where each of them stands (1-based line and column by path)."""

    file: str
    value: Any = None
    marks: dict[Path_, tuple[int, int]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def at(self, path: Path_) -> tuple[int, int]:
        """Line and column of a path, or of its nearest parent that has a place."""
        path = tuple(path)
        while path not in self.marks and path:
            path = path[:-1]
        return self.marks.get(path, (1, 1))

    def complain(self, path: Path_, code: str, what: str, mend: str, level: str = "error") -> None:
        """Note a problem at a path."""
        line, column = self.at(path.exact() if hasattr(path, "exact") else path)
        self.problems.append(Problem(self.file, line, column, level, code, what, mend))


def read_file(path: Path, shown_as: str) -> Source:
    """Read one YAML file; whatever is wrong with it becomes a problem, never an exception."""
    source = Source(shown_as)
    try:
        size = path.stat().st_size
        if size > MAX_BYTES:
            source.complain((), "file-too-large", f"This file has {size:,} bytes; a knowledge file may have {MAX_BYTES:,}.",
                            "split it by theme, or move out what does not belong here.")
            return source
        raw = path.read_bytes()
    except OSError as error:
        source.complain((), "file-unreadable", f"This file cannot be read: {error.strerror or error}.",
                        "give it read permission, or remove it.")
        return source
    if b"\0" in raw:
        source.complain((), "not-text", "This file is not text.", "remove it from the folder, or save it as UTF-8 text.")
        return source
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        source.problems.append(Problem(shown_as, line, 1, "error", "not-text", "This line is not UTF-8 text.",
                                       "save the file as UTF-8."))
        return source
    return read_text(text, source)


def read_text(text: str, source: Source) -> Source:
    """Parse text into `source`; see `read_file`."""
    if not text.strip():
        source.complain((), "file-empty", "This file is empty.", "remove it, or give it a first entry.")
        return source
    deep = _too_deep(text)
    if deep:
        source.problems.append(Problem(source.file, deep, 1, "error", "too-deep",
                                       f"Values are nested more than {MAX_DEPTH} deep.", "flatten this part."))
        return source
    bad = re.search(r"[\x01-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f]", text)
    if bad:
        source.problems.append(Problem(source.file, text.count("\n", 0, bad.start()) + 1, 1, "error", "control-character",
                                       "This line holds a control character.", "delete the character and type the line anew."))
        return source
    try:
        node = yaml.compose(text, Loader=_Loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        source.problems.append(Problem(
            source.file, (mark.line if mark else 0) + 1, (mark.column if mark else 0) + 1, "error", "yaml-syntax",
            f"The text does not read as YAML here: {_syntax(error)}.",
            "check the indentation, a missing colon, or quote a text that holds ': ' or starts with a special character."))
        return source
    except (yaml.YAMLError, RecursionError, ValueError) as error:
        source.complain((), "yaml-syntax", f"The text does not read as YAML: {error}.", "look for a broken line near the end.")
        return source
    if node is None:
        source.complain((), "file-empty", "This file holds nothing but comments.", "remove it, or give it a first entry.")
        return source
    seen: set[int] = set()
    source.value = _value(node, (), source, seen)
    return source


def _syntax(error: yaml.MarkedYAMLError) -> str:
    return " ".join(part for part in (error.context, error.problem) if part) or "unknown reason"


def _too_deep(text: str) -> int:
    """The line where nesting passes the bound, 0 if none: asked before the parser, whose own stack is finite."""
    depth = 0
    for number, line in enumerate(text.splitlines(), 1):
        stripped = line.lstrip(" ")
        if (len(line) - len(stripped)) > 8 * MAX_DEPTH or re.match(r"(?:[-?]\s+){%d,}" % MAX_DEPTH, stripped):
            return number
        for char in line:
            if char in "[{":
                depth += 1
                if depth > MAX_DEPTH:
                    return number
            elif char in "]}":
                depth = max(0, depth - 1)
    return 0


def _value(node: yaml.Node, path: Path_, source: Source, seen: set[int]) -> Any:
    source.marks.setdefault(path, (node.start_mark.line + 1, node.start_mark.column + 1))
    if id(node) in seen:
        source.complain(path, "alias-used", "An alias ('*name') stands here; knowledge files do not use them.",
                        "write the value out.")
        return None
    seen.add(id(node))
    if node.tag not in _PLAIN_TAGS:
        source.complain(path, "tag-used", f"The tag '{node.tag}' is not allowed: a knowledge file holds data only.",
                        "remove the tag.")
        return None
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node)
    if isinstance(node, yaml.SequenceNode):
        return [_value(child, (*path, index), source, seen) for index, child in enumerate(node.value)]
    result: dict[Any, Any] = {}
    for key_node, child in node.value:
        line, column = key_node.start_mark.line + 1, key_node.start_mark.column + 1
        if not isinstance(key_node, yaml.ScalarNode):
            source.problems.append(Problem(source.file, line, column, "error", "key-not-a-word",
                                           "A key must be one word.", "write a plain key, then a colon."))
            continue
        key = key_node.value
        if key in result:
            first = source.at((*path, key))[0]
            source.problems.append(Problem(
                source.file, line, column, "error", "duplicate-key",
                f"'{key}' stands here and at line {first} of the same mapping; only one can count.",
                "remove one of the two, or rename it."))
            continue
        source.marks[(*path, key)] = (line, column)
        result[key] = _value(child, (*path, key), source, seen)
    return result


def _scalar(node: yaml.ScalarNode) -> Any:
    text = node.value
    if node.style:  # quoted or block text is text (the C parser says '' for plain, the other None)
        return text
    if text in ("", "~", "null", "Null", "NULL"):
        return None
    if text in ("true", "True", "TRUE"):
        return True
    if text in ("false", "False", "FALSE"):
        return False
    if _INT.match(text) and len(text) < 19:
        return int(text)
    if _FLOAT.match(text) and len(text) < 40:
        return float(text)
    return text
