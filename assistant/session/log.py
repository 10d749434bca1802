"""One conversation's log: a file of JSON lines that only ever grows. An event that `append` returned from is on the disk.

A line cut off by a crash is never cut away: the next line begins under it, and reading steps over it.
"""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from pathlib import Path

from assistant.session.events import Event, NewerVersion
from assistant.session.lock import folder_to_disk, hold, to_disk

MAX_BYTES = 64_000_000  # a longer file is no conversation
MAX_LINE = 2_000_000
_FLAGS = os.O_RDWR | os.O_APPEND | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NOFOLLOW", 0)


class LogError(Exception):
    """The log cannot be used. The text is one plain line for a person."""


@dataclass(frozen=True)
class Contents:
    """What a log file holds: its events in order, and what is wrong with it in plain lines."""

    events: tuple[Event, ...]
    remarks: tuple[str, ...] = ()
    damaged: tuple[int, ...] = ()  # numbers of the lines stepped over and not told about before
    open_end: bool = False  # the last line has no line end


def read(path: Path) -> Contents:
    """Everything in a log that can be read. Raises LogError where the file cannot be opened or is of a newer version."""
    try:
        with open(os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOFOLLOW", 0)), "rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise LogError(f"{path} cannot be read: {error.strerror or error}.") from error
    if len(data) > MAX_BYTES:
        raise LogError(f"{path} is larger than {MAX_BYTES // 1_000_000} MB: that is no conversation.")
    return parse(data, str(path))


def parse(data: bytes, name: str) -> Contents:
    """The bytes of a log to its contents. Raises LogError when a line was written by a newer version."""
    events: list[Event] = []
    bad: list[int] = []
    told: set[int] = set()
    lines = data.split(b"\n")
    open_end = bool(lines[-1])
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            continue
        try:
            if len(line) > MAX_LINE:
                raise ValueError("too long")
            event = Event.from_json(json.loads(line))
        except NewerVersion as error:
            raise LogError(f"{name} was written by a newer Tickover ({error}); it is left as it is.") from error
        except (ValueError, RecursionError):
            bad.append(number)
            continue
        if event.kind == "mended":
            told.update(event.data.get("lines", []))
        events.append(event)
    new = tuple(n for n in bad if n not in told)
    return Contents(tuple(events), tuple(_remarks(new, len(lines) if open_end else 0)), new, open_end)


def _remarks(damaged: tuple[int, ...], last: int) -> list[str]:
    torn = [n for n in damaged if n == last]
    other = [n for n in damaged if n != last]
    remarks = []
    if torn:
        remarks.append("The last line of the log was cut off while it was being written; everything before it is here.")
    if other:
        place = f"line {other[0]}" if len(other) == 1 else f"{len(other)} lines (the first is line {other[0]})"
        remarks.append(f"The log is damaged at {place}; all the other lines are here, and the damaged ones stay in the file.")
    return remarks


class Log:
    """A log open for writing, held by this program alone."""

    def __init__(self, handle: int, path: Path) -> None:
        self.path = path
        self._handle = handle
        self._alone = False  # whether the lock is ours
        self._unsure = True  # whether the file may end in half a line

    @classmethod
    def create(cls, path: Path) -> "Log":
        """A new, empty log. Raises FileExistsError where there is one already, OSError where none can be made."""
        handle = os.open(path, _FLAGS | os.O_CREAT | os.O_EXCL, 0o600)
        log = cls(handle, path)
        log._alone = hold(handle) is True
        folder_to_disk(str(path.parent))
        return log

    @classmethod
    def open(cls, path: Path) -> tuple["Log", Contents]:
        """An existing log and what it holds. Raises LogError when it cannot be written, read, or is open elsewhere."""
        try:
            handle = os.open(path, _FLAGS)
        except OSError as error:
            raise LogError(f"{path} cannot be opened for writing: {error.strerror or error}.") from error
        log = cls(handle, path)
        try:
            held = hold(handle)
            if held is False:
                raise LogError(f"{path} is open in another chat; leave it there first. Nothing was changed.")
            log._alone = held is True
            return log, read(path)
        except BaseException:
            log.close()
            raise

    def append(self, event: Event) -> None:
        """Write one event and wait until it is on the disk. Raises OSError; then nothing of it counts as kept."""
        line = json.dumps(event.as_json(), ensure_ascii=False, separators=(",", ":"))
        data = line.encode("utf-8", "backslashreplace") + b"\n"  # half a surrogate pair becomes its own JSON escape
        start = os.fstat(self._handle).st_size
        if self._unsure and self._ends_open(start):
            data = b"\n" + data
        self._unsure = True
        try:
            rest = memoryview(data)
            while rest:
                rest = rest[os.write(self._handle, rest):]
            to_disk(self._handle)
        except OSError:
            self._take_off(start)
            raise
        self._unsure = False

    def _take_off(self, start: int) -> None:
        """Remove our own half line after a failed write. Without the lock it may be another's, so it stays."""
        if self._alone:
            try:
                os.ftruncate(self._handle, start)
            except OSError:
                pass

    def _ends_open(self, size: int) -> bool:
        if size == 0:
            return False
        os.lseek(self._handle, size - 1, os.SEEK_SET)
        return os.read(self._handle, 1) != b"\n"

    def close(self, drop_empty: bool = False) -> None:
        """Let go of the file and its lock. `drop_empty` removes a file that nothing could be written to."""
        if self._handle >= 0:
            handle, self._handle = self._handle, -1
            empty = drop_empty and os.fstat(handle).st_size == 0
            os.close(handle)
            if empty:
                try:
                    self.path.unlink()
                except OSError:
                    pass
