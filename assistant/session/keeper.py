"""Keeps every event of one conversation, come what may: the log, else a log in another place, else memory, and says which.

`Keeper` is what a Case is given as `keep`. Remarks for the person gather in `remarks`; whoever talks to them takes them from there.
"""

from __future__ import annotations

import tempfile
import time
from datetime import datetime, timezone
from pathlib import Path
from typing import Callable

from assistant.session.events import Event
from assistant.session.log import Contents, Log
from assistant.session.store import Store

_JUMP = 120.0  # seconds that the clock may stand behind the last entry before it is worth a word


def now() -> str:
    """The clock in UTC, to the second."""
    return datetime.now(timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ")


class Keeper:
    """One conversation being kept. Nothing is made on the disk before something is said."""

    def __init__(self, store: Store, elsewhere: Callable[[], Store] | None = None) -> None:
        self.store = store
        self.name = ""
        self.remarks: list[str] = []
        self.moved = False  # kept in another place than the data folder
        self.unsaved: list[Event] = []
        self._elsewhere = elsewhere or _other_place
        self._log: Log | None = None
        self._all: list[Event] = []
        self._last_at = ""
        self._clock_told = False

    def resume(self, name: str) -> Contents:
        """Go on with an earlier conversation; the empty name is the last one. Raises LogError, and then nothing is changed."""
        self.name, self._log, contents = self.store.open(name)
        self._all = list(contents.events)
        self._last_at = max((e.at for e in contents.events), default="")
        self.remarks += contents.remarks
        if contents.damaged:
            self(Event("mended", {"lines": list(contents.damaged)}, now()))
        return contents

    def __call__(self, event: Event) -> None:
        """Keep one event. Never raises OSError: what cannot be written is told in `remarks` and tried again."""
        self._watch_clock(event.at)
        self._all.append(event)
        try:
            if self._log is None:
                self.name, self._log = self.store.create()
            for waiting in list(self.unsaved):
                self._log.append(waiting)
                self.unsaved.pop(0)
                if not self.unsaved:
                    self.remarks.append("The log can be written again; all that was said is in it now.")
            self._log.append(event)
        except OSError as error:
            self._move(event, error)

    @property
    def path(self) -> Path | None:
        """Where the log lies; None while there is none."""
        return self._log.path if self._log is not None else None

    def close(self) -> None:
        """Let go of the log; a last try for what could not be written before."""
        if self._log is None:
            return
        try:
            for waiting in list(self.unsaved):
                self._log.append(waiting)
                self.unsaved.pop(0)
        except OSError:
            pass
        self._log.close()

    def _move(self, event: Event, error: OSError) -> None:
        """The log cannot take the event: start a full copy in another place, once; else remember it and try again."""
        reason = error.strerror or str(error)
        if not self.moved and not self.unsaved:
            copied = self._copy_elsewhere()
            if copied is not None:
                old = self._log.path if self._log is not None else self.store.folder
                if self._log is not None:
                    self._log.close(drop_empty=True)
                self.store, self.name, self._log = copied
                self.moved = True
                self.remarks.append(f"The log cannot be written in {old} ({reason}); all that was said is kept in {self._log.path} instead.")
                return
        if not self.unsaved:
            self.remarks.append(f"The log cannot be written ({reason}); what you say now is only in memory, and I try again each time.")
        self.unsaved.append(event)

    def _copy_elsewhere(self) -> tuple[Store, str, Log] | None:
        """A log in another place with all events in it, or None where that fails too."""
        log = None
        try:
            store = self._elsewhere()
            name, log = store.create()
            for each in self._all:
                log.append(each)
            return store, name, log
        except OSError:
            if log is not None:
                log.close(drop_empty=True)
            return None

    def _watch_clock(self, at: str) -> None:
        """One word about a clock that went back; the order of the lines stands anyway."""
        if not self._clock_told and _seconds(at) < _seconds(self._last_at) - _JUMP:
            self._clock_told = True
            self.remarks.append("The clock stands earlier than the last entry of this conversation; the order is kept, the times may be wrong.")
        self._last_at = max(self._last_at, at)


def _seconds(at: str) -> float:
    try:
        return datetime.strptime(at, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=timezone.utc).timestamp()
    except ValueError:
        return time.time() if at else 0.0


def _other_place() -> Store:
    return Store(Path(tempfile.mkdtemp(prefix="tickover-")))
