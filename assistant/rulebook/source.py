"""YAML text to plain values by the 1.2 core rules, with the line and column of every key and value.

Composed, not loaded: nothing is ever constructed but text, numbers, true, false, null, lists and
mappings. Aliases and tags are refused, which also refuses alias bombs; size and depth are bounded.
"""

from __future__ import annotations

import hashlib
import re
import stat
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from assistant.problems import Problem, count
from assistant.rulebook.syntax import worded

MAX_BYTES = 2_000_000
MAX_VALUES = 40_000  # in one file; far more than anybody can look after
MAX_TEXT = 20_000  # characters of one value: as much as is read of one message
MAX_KEY = 300
MAX_DEPTH = 24
MAX_COMPLAINTS = 300  # about one file: looking for the place and the nearest word costs time, and nobody reads on
_SMALL = 60_000  # characters: a shorter text cannot hold too many values

_INT = re.compile(r"[-+]?[0-9]+\Z")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?\Z")
# what cannot be seen, and what turns the reading order round: a terminal might obey it, and a person is shown something else
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufffe\uffff]")
_KEY = re.compile(r"(?<![A-Za-z0-9])([A-Za-z0-9][A-Za-z0-9-]{0,99}+)\s{0,20}:")  # bounded: a megabyte of letters is gone over once
_PLAIN_TAGS = {
    f"tag:yaml.org,2002:{name}"
    for name in ("str", "int", "float", "bool", "null", "map", "seq", "timestamp", "merge", "value")
}
_Loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)  # base: types are decided here, by the 1.2 core rules

Path_ = tuple[Any, ...]


class WrittenInt(int):
    """A whole number that was written in another way (06, +5): a number where one is meant, else the word as written."""

    written: str


class WrittenFloat(float):
    """A number with a fraction that was written in another way (1.50, 1e3)."""

    written: str


def as_word(value: Any) -> str:
    """A scalar as the word that stands in the file."""
    if isinstance(value, bool):
        return "true" if value else "false"
    return getattr(value, "written", None) or str(value)


@dataclass
class Source:
    """One file's values, and where each of them stands (1-based line and column by path)."""

    file: str
    value: Any = None
    marks: dict[Path_, tuple[int, int]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    unread: set[str] = field(default_factory=set)  # keys in parts that could not be read: what is named so may exist
    digest: str = ""  # of the bytes that were read
    spoilt: set[Path_] = field(default_factory=set)  # paths whose value was refused: nothing more is said of them

    def at(self, path: Path_) -> tuple[int, int]:
        """Line and column of a path, or of its nearest parent that has a place."""
        path = tuple(path)
        while path not in self.marks and path:
            path = path[:-1]
        return self.marks.get(path, (1, 1))

    def complain(self, path: Path_, code: str, what: str, mend: str, level: str = "error") -> None:
        """Note a problem at a path."""
        if len(self.problems) > MAX_COMPLAINTS:
            return
        path = tuple(path.exact() if hasattr(path, "exact") else path)
        if not any(path[: len(bad)] == bad for bad in self.spoilt):
            self.complain_at(self.at(path), code, what, mend, level)

    def complain_at(self, place: tuple[int, int], code: str, what: str, mend: str, level: str = "error") -> None:
        """Note a problem at a line and column."""
        if len(self.problems) == MAX_COMPLAINTS:
            self.problems.append(Problem(self.file, *place, "error", "too-many-complaints", f"There are more than {MAX_COMPLAINTS} complaints about this file.",
                                         "mend the ones above first."))
        elif len(self.problems) < MAX_COMPLAINTS:
            self.problems.append(Problem(self.file, *place, level, code, what, mend))

    def spoil(self, path: Path_) -> None:
        """The value at a path was refused, with a complaint: what follows from that is not complained of as well."""
        self.spoilt.add(path)
        self.unread.update(str(step) for step in path)


def read_file(path: Path, shown_as: str) -> Source:
    """Read one YAML file; whatever is wrong with it becomes a problem, never an exception."""
    source = Source(shown_as)
    try:
        state = path.stat()
        if not stat.S_ISREG(state.st_mode):  # a pipe would be waited for without end
            source.complain((), "file-unreadable", "This is not an ordinary file.", "remove it, or rename it.")
            return source
        if state.st_size > MAX_BYTES:
            source.complain((), "file-too-large", f"This file has {state.st_size:,} bytes; a knowledge file may have {MAX_BYTES:,}.",
                            "split it by theme, or move out what does not belong here.")
            return source
        raw = path.read_bytes()
    except OSError as error:
        source.complain((), "file-unreadable", f"This file cannot be read: {error.strerror or error}.",
                        "give it read permission, or remove it.")
        return source
    source.digest = hashlib.sha256(raw).hexdigest()
    if b"\0" in raw:
        wide = raw[:2] in (b"\xff\xfe", b"\xfe\xff")
        source.complain((), "not-text", f"This file is {'UTF-16' if wide else 'not UTF-8'} text.",
                        "save the file as UTF-8." if wide else "remove it from the folder, or save it as UTF-8.")
        source.unread.update(_KEY.findall(raw.decode("utf-16" if wide else "utf-8", "replace")))
        return source
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        column = len(before[before.rfind(b"\n") + 1 :].decode("utf-8", "replace")) + 1
        source.complain_at((before.count(b"\n") + 1, column), "not-text", "This line is not UTF-8 text.", "save the file as UTF-8.")
        source.unread.update(_KEY.findall(raw.decode("utf-8", "replace")))
        return source
    return read_text(text, source)


def read_text(text: str, source: Source) -> Source:
    """Parse text into `source`; see `read_file`."""
    if not text.strip():
        source.complain((), "file-empty", "This file is empty.", "remove it, or give it a first entry.")
        return source
    if not _readable(text, source):
        source.unread.update(_KEY.findall(text))
        return source
    try:
        if len(text) > _SMALL and _holds_too_much(text):
            source.complain((), "file-too-large", f"This file holds more than {MAX_VALUES:,} values.", "split it by theme, or move out what does not belong here.")
            return source
        node = yaml.compose(text, Loader=_Loader)
    except yaml.MarkedYAMLError as error:
        source.unread.update(_KEY.findall(text))
        mark = error.problem_mark or error.context_mark
        if "undefined alias" in (error.problem or ""):
            _complain_of_aliases(text, source)
        elif "nesting depth" in (error.problem or "") and mark is not None:  # the parser has a bound of its own, far beyond ours
            _complain_of_depth(source, (mark.line + 1, mark.column + 1))
        else:
            line, column, what, mend = worded(error, text)
            source.complain_at((line, column), "yaml-syntax", what, mend)
        return source
    except RecursionError:  # only the parser that is not compiled gets here
        _complain_of_depth(source, (1, 1))
        return source
    except (yaml.YAMLError, ValueError):
        source.unread.update(_KEY.findall(text))
        source.complain((), "yaml-syntax", "The text does not read as YAML.", "look for a broken line near the end.")
        return source
    if node is None:
        source.complain((), "file-empty", "This file holds nothing but comments.", "remove it, or give it a first entry.")
        return source
    seen: set[int] = set()
    source.value = _value(node, (), source, seen)
    if 0 in seen:
        _complain_of_aliases(text, source)
    return source


def _holds_too_much(text: str) -> bool:
    """Whether there are more values than a file may hold; counted without keeping any. What does not parse is left to the parser."""
    number = 0
    try:
        for event in yaml.parse(text, Loader=_Loader):
            number += isinstance(event, yaml.NodeEvent)
            if number > MAX_VALUES:
                return True
    except yaml.YAMLError:
        pass
    return False


def _readable(text: str, source: Source) -> bool:
    """Complain of what the parser should not even be given."""
    bad = _CONTROL.search(text)
    if bad:
        start = text.rfind("\n", 0, bad.start()) + 1
        source.complain_at((text.count("\n", 0, bad.start()) + 1, bad.start() - start + 1), "control-character",
                           f"A control character (code {ord(bad.group()):#04x}) stands here.", "delete it and type the line anew.")
        return False
    return True


def _complain_of_depth(source: Source, place: tuple[int, int]) -> None:
    source.complain_at(place, "too-deep", f"Values are nested more than {MAX_DEPTH} deep.", "flatten this part.")


def _complain_of_aliases(text: str, source: Source) -> None:
    """One complaint at the first alias: a file that is full of them is still one mistake. The parser's nodes do not keep the place."""
    places = []
    try:
        for event in yaml.parse(text, Loader=_Loader):
            if isinstance(event, yaml.AliasEvent):
                places.append((event.start_mark.line + 1, event.start_mark.column + 1, event.anchor))
    except yaml.YAMLError:
        pass  # what was found so far is enough
    line, column, name = places[0] if places else (1, 1, "name")
    source.complain_at((line, column), "alias-used", f"'*{name}' stands here for a value written elsewhere; knowledge files do not use aliases"
                       + (f" ({count(len(places), 'alias', 'aliases')} in this file)." if len(places) > 1 else "."),
                       "write the value out; put a text that starts with * in quotes.")


def _value(node: yaml.Node, path: Path_, source: Source, seen: set[int]) -> Any:
    place = (node.start_mark.line + 1, node.start_mark.column + 1)
    if id(node) in seen:
        seen.add(0)  # an alias: complained of once, when all is read
        source.spoil(path)
        return None
    source.marks.setdefault(path, place)
    seen.add(id(node))
    if node.tag not in _PLAIN_TAGS:
        tag = node.tag.replace("tag:yaml.org,2002:", "!!")
        source.complain_at(place, "tag-used", f"The tag '{tag}' stands here; a knowledge file holds plain data only.",
                           "remove the tag; put a text that starts with an exclamation mark in quotes.")
        source.spoil(path)
        return None
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node) if _sound(node, MAX_TEXT, place, path, source) else None
    if len(path) >= MAX_DEPTH:
        _complain_of_depth(source, place)
        source.spoil(path[:2])  # the whole entry: nothing that holds this can be right
        return None
    if isinstance(node, yaml.SequenceNode):
        return [_value(child, (*path, index), source, seen) for index, child in enumerate(node.value)]
    result: dict[Any, Any] = {}
    for key_node, child in node.value:
        place = (key_node.start_mark.line + 1, key_node.start_mark.column + 1)
        if not isinstance(key_node, yaml.ScalarNode):
            source.complain_at(place, "key-not-a-word", "A key must be one word.", "write a plain key, then a colon; quote a text that starts with a bracket.")
            source.spoil(path)
            continue
        key = key_node.value
        if not _sound(key_node, MAX_KEY, place, path, source):
            continue
        if key in result:
            first = source.at((*path, key))[0]
            source.complain_at(place, "duplicate-key", f"'{key}' stands here and at line {first} of the same mapping; only one can count.",
                               "remove one of the two, or rename it.")
            source.unread.update(_keys_under(child))
            continue
        source.marks[(*path, key)] = place
        result[key] = _value(child, (*path, key), source, seen)
    return result


def _keys_under(node: yaml.Node) -> set[str]:
    """The keys of a mapping that is not taken, so that what they name is not called unknown as well."""
    if not isinstance(node, yaml.MappingNode):
        return set()
    return {key.value for key, _ in node.value if isinstance(key, yaml.ScalarNode)}


def _sound(node: yaml.ScalarNode, most: int, place: tuple[int, int], path: Path_, source: Source) -> bool:
    """Complain of a giant text, and of what escapes in double quotes would bring in by the back door."""
    if len(node.value) > most:
        source.complain_at(place, "text-too-long", f"This text has {len(node.value):,} characters; there may be {most:,} here.", "shorten it, or close a quotation mark.")
    elif node.style == '"' and (bad := _CONTROL.search(node.value)):
        source.complain_at(place, "control-character", f"A control character (code {ord(bad.group()):#04x}) is written here by an escape.", "leave it out.")
    else:
        return True
    source.spoil(path)
    return False


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
        return _as_written(WrittenInt, int(text), text)
    if _FLOAT.match(text) and len(text) < 40:
        return _as_written(WrittenFloat, float(text), text)
    return text


def _as_written(kind: type, number: Any, text: str) -> Any:
    if str(number) == text:
        return number
    made = kind(number)
    made.written = text
    return made
