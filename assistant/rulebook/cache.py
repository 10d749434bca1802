"""The knowledge files as they were read, kept in the user's cache folder: so that the YAML need not be parsed at every start.

Kept are plain values (JSON) and the lines they stand at, and only of a folder without an error. The name of the file is a
hash over the content of every knowledge file and of the code that reads them, so that it can never be stale; its first
line is a hash of the rest, so that what was altered or cut off is not used. Every entry still goes through its model.
Beside it stand texts made of the files (stems of words, compiled phrases). Whatever goes wrong here, the files themselves are read.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
import tempfile
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, Iterable

import assistant
from assistant.problems import Problem
from assistant.rulebook.files import ordinary
from assistant.rulebook.source import Path_, Source, WrittenFloat, WrittenInt

VARIABLE = "TICKOVER_CACHE"  # another folder; empty: keep nothing
FORM = 1
MOST_BYTES = 64_000_000
MOST_KEPT = 9  # files of each kind


@dataclass
class Kept:
    """A folder as it was read: its files, its fingerprint, and the warnings about it."""

    sources: list[Source]
    fingerprint: str
    warnings: list[Problem] = field(default_factory=list)


def fetch(folder: Path) -> Kept | None:
    """What is kept of a folder whose files are now as they were then; None where that is nothing."""
    place = _place()
    if place is None:
        return None
    try:
        files = ordinary(folder)
        if files is None:
            return None
        path = place / f"{_key((name, _hash(path)) for path, name in files)}.json"
        kept = _decode(_read(path))
        if kept is not None:
            os.utime(path)  # the ones used least are let go of
        return kept
    except Exception:  # a convenience: what is odd about the folder is told by reading it
        return None


def store(folder: Path, sources: Iterable[Source], fingerprint: str, warnings: list[Problem]) -> None:
    """Keep a folder that was read without an error. A folder that is not ordinary, or a cache that cannot be written, is passed over."""
    place, sources = _place(), list(sources)
    if place is None:
        return
    try:
        files = ordinary(folder)
        if files is None or [name for _, name in files] != [s.file for s in sources] or not all(s.digest for s in sources):
            return
        place.mkdir(parents=True, exist_ok=True, mode=0o700)
        _write(place, f"{_key((s.file, s.digest) for s in sources)}.json", _encode(sources, fingerprint, warnings))
    except Exception:
        return


def recall(name: str, *depends_on: str) -> dict[str, str] | None:
    """A table of words kept under a name, that depends on nothing but these texts; None where there is none."""
    text = recall_text(name, *depends_on)
    try:
        table = None if text is None else json.loads(text)
    except ValueError:
        return None
    sound = isinstance(table, dict) and all(isinstance(value, str) for value in table.values())
    return table if sound else None


def remember(name: str, table: dict[str, str], *depends_on: str) -> None:
    """Keep a table of words. Words of the files only: what people say is never kept here."""
    remember_text(name, json.dumps(table, separators=(",", ":")), *depends_on)


def recall_text(name: str, *depends_on: str) -> str | None:
    """A text kept under a name, that depends on nothing but these texts; None where there is none."""
    place = _place("words")
    try:
        path = None if place is None else place / _table(name, depends_on)
        body = None if path is None else _checked(_read(path))
        if path is None or body is None:
            return None
        os.utime(path)  # the ones used least are let go of
        return body.decode()
    except Exception:
        return None


def remember_text(name: str, text: str, *depends_on: str) -> None:
    """Keep a text made of the files."""
    place = _place("words")
    if place is None:
        return
    try:
        place.mkdir(parents=True, exist_ok=True, mode=0o700)
        _write(place, _table(name, depends_on), _signed(text.encode()))
    except Exception:
        return


def _table(name: str, depends_on: tuple[str, ...]) -> str:
    return f"{name}-{hashlib.sha256(repr((FORM, depends_on)).encode()).hexdigest()[:32]}.json"


def _place(kind: str = "knowledge") -> Path | None:
    choice = os.environ.get(VARIABLE)
    if choice is not None:
        return Path(choice) / kind if choice else None
    try:
        import platformdirs  # late: not needed where the folder is given

        return Path(platformdirs.user_cache_dir("tickover", appauthor=False)) / kind
    except Exception:
        return None


@lru_cache(maxsize=1)
def _program() -> str:
    """A hash of the code that a rulebook is made and checked by, and the version of the program."""
    whole = hashlib.sha256(f"{FORM} {assistant.__version__}".encode())
    here = Path(__file__).resolve().parent
    for path in sorted([*here.glob("*.py"), *(here.parent / "trade").glob("*.py")]):
        whole.update(path.name.encode() + path.read_bytes())
    return whole.hexdigest()


@lru_cache(maxsize=8)
def code(*modules: str) -> str:
    """A hash of modules of the program, named by their paths in the package: what code has made is made anew by other code."""
    here = Path(assistant.__file__).resolve().parent
    return hashlib.sha256(b"".join((here / name).read_bytes() for name in modules)).hexdigest()


def _hash(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _key(files: Iterable[tuple[str, str]]) -> str:
    whole = hashlib.sha256(_program().encode())
    for name, digest in files:
        whole.update(f"{name}\0{digest}\0".encode())
    return whole.hexdigest()


def _encode(sources: list[Source], fingerprint: str, warnings: list[Problem]) -> bytes:
    rows = []
    for source in sources:
        written: list[list[Any]] = []
        _find_written(source.value, [], written)
        rows.append([source.file, source.value, [[list(path), line] for path, (line, _) in source.marks.items() if _needed(path)], written])
    body = json.dumps({"files": rows, "fingerprint": fingerprint, "warnings": [w.as_json() for w in warnings]}, separators=(",", ":"), allow_nan=False).encode()
    return _signed(body)


def _signed(body: bytes) -> bytes:
    return hashlib.sha256(body).hexdigest().encode() + b"\n" + body


def _checked(data: bytes | None) -> bytes | None:
    """What was signed, if it is what was signed."""
    digest, _, body = (data or b"").partition(b"\n")
    return body if hashlib.sha256(body).hexdigest().encode() == digest else None


def _needed(path: Path_) -> bool:
    """Whether a line is asked for in a folder without errors: those of entries, and of the lines of lists of phrases."""
    return len(path) == 2 or len(path) == 4 and isinstance(path[3], int)


def _decode(data: bytes | None) -> Kept | None:
    body = _checked(data)
    if body is None:
        return None
    raw = json.loads(body)
    sources = []
    for file, value, marks, written in raw["files"]:
        for path, text in written:
            _put_written(value, path, text)
        sources.append(Source(file, value, {tuple(path): (line, 1) for path, line in marks}))
    return Kept(sources, raw["fingerprint"], [Problem(**w) for w in raw["warnings"]])


def _find_written(value: Any, path: list[Any], found: list[list[Any]]) -> None:
    """Numbers that were not written as they are shown (06, 1.50) keep how they were written."""
    if isinstance(value, (WrittenInt, WrittenFloat)):
        found.append([list(path), value.written])
    elif isinstance(value, (dict, list)):
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            _find_written(inner, [*path, key], found)


def _put_written(value: Any, path: list[Any], text: str) -> None:
    for step in path[:-1]:
        value = value[step]
    number = value[path[-1]]
    made = WrittenInt(number) if isinstance(number, int) else WrittenFloat(number)
    made.written = text
    value[path[-1]] = made


def _read(path: Path) -> bytes | None:
    """The content of an ordinary file of ours, no link; None where there is none."""
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOFOLLOW", 0))
    except OSError:
        return None
    with open(handle, "rb") as file:
        state = os.fstat(handle)
        if not stat.S_ISREG(state.st_mode) or state.st_size > MOST_BYTES or hasattr(os, "getuid") and state.st_uid != os.getuid():
            return None
        return file.read(MOST_BYTES)


def _write(place: Path, name: str, data: bytes) -> None:
    """Write it so that it is there whole or not at all, and let go of the oldest ones."""
    handle, half = tempfile.mkstemp(prefix=".", dir=place)
    try:
        with open(handle, "wb") as file:
            file.write(data)
        os.replace(half, place / name)
    except BaseException:
        os.unlink(half)
        raise
    kept = sorted((p for p in place.iterdir() if p.suffix == ".json"), key=lambda p: p.stat().st_mtime_ns)
    for old in kept[:-MOST_KEPT]:
        old.unlink(missing_ok=True)

