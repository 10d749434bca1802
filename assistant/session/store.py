"""The folder of conversations: numbering, the list of past ones, export and delete. No name from outside leaves the folder."""

from __future__ import annotations

import os
import re
import shutil
from dataclasses import dataclass
from pathlib import Path

from assistant.problems import count
from assistant.session.log import Contents, Log, LogError, read

VARIABLE = "TICKOVER_DATA"
_FILE = re.compile(r"conversation-(\d{4,9})\.jsonl")
_NAME = re.compile(r"(?:conversation-)?0*(\d{1,9})(?:\.jsonl)?")


def data_folder(option: str | None = None) -> Path:
    """The user's data folder: the option, the variable, or what the system says."""
    choice = option or os.environ.get(VARIABLE)
    if choice:
        return _home(choice)
    import platformdirs  # late: not needed where the folder is given

    return Path(platformdirs.user_data_dir("tickover", appauthor=False))


def _home(path: str) -> Path:
    """The path with ~ as the home folder, where there is such a one."""
    try:
        return Path(path).expanduser()
    except RuntimeError:
        return Path(path)


@dataclass(frozen=True)
class Summary:
    """One past conversation in short. `trouble` says why it cannot be read, if so."""

    name: str
    last: str  # when it was last written to, UTC as in the log
    messages: int
    first: str  # the first words said
    trouble: str = ""


class Store:
    """Conversations in `folder`/conversations, named by number: 1, 2, 3."""

    def __init__(self, data: Path) -> None:
        self.data = data
        self.folder = data / "conversations"

    def create(self) -> tuple[str, Log]:
        """A new conversation under the next free number. Raises OSError where nothing can be written."""
        self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        number = max((int(n) for n in self.names()), default=0)
        while True:  # another chat may take the number first
            number += 1
            try:
                log = Log.create(self._path(number))
            except FileExistsError:
                continue
            self._remember(str(number))
            return str(number), log

    def open(self, name: str) -> tuple[str, Log, Contents]:
        """An existing conversation, for going on with it; the empty name is the one last used. Raises LogError."""
        path, number = self.find(name)
        log, contents = Log.open(path)
        self._remember(number)
        return number, log, contents

    def find(self, name: str) -> tuple[Path, str]:
        """The file and number of a conversation. Raises LogError, in words, for a name that is none of ours."""
        if not name:
            name = self.last()
        match = _NAME.fullmatch(name.strip())
        known = self.names()
        if match is None or match[1] not in known:
            if not known:
                raise LogError(f"There are no earlier conversations in {self.folder}.")
            raise LogError(f"There is no conversation '{name[:40]}'; there is {_some(known)}. 'tickover past' lists them.")
        return self._path(int(match[1])), match[1]

    def names(self) -> list[str]:
        """The numbers of all conversations, lowest first. Links and other files are not ours."""
        try:
            with os.scandir(self.folder) as entries:
                found = [_FILE.fullmatch(e.name) for e in entries if e.is_file(follow_symlinks=False)]
        except OSError:
            return []
        return [str(n) for n in sorted(int(m[1]) for m in found if m)]

    def last(self) -> str:
        """The conversation used last, told by our own note and not by clocks, which jump; else the highest number."""
        names = self.names()
        try:
            noted = (self.folder / "last").read_text("ascii", "replace")[:20].strip()
        except OSError:
            noted = ""
        return noted if noted in names else (names[-1] if names else "")

    def past(self) -> list[Summary]:
        """All conversations in short, the newest number first."""
        return [self.summary(name) for name in reversed(self.names())]

    def summary(self, name: str) -> Summary:
        """One conversation in short; a file that cannot be read is still listed."""
        try:
            contents = read(self._path(int(name)))
        except LogError as error:
            return Summary(name, "", 0, "", str(error))
        said = [e for e in contents.events if e.kind == "said"]
        first = next((str(e.data["text"]) for e in said), "")
        return Summary(name, contents.events[-1].at if contents.events else "", len(said), " ".join(first.split())[:200])

    def export(self, name: str, target: str) -> str:
        """Copy a log to a path of the person's choice. Never overwrites. Returns one plain line; raises LogError."""
        path, number = self.find(name)
        place = _home(target)
        begun = False
        try:
            if place.is_dir():
                place = place / path.name
            with open(path, "rb") as source, open(place, "xb") as copy:
                begun = True
                shutil.copyfileobj(source, copy)
                copy.flush()
                os.fsync(copy.fileno())
        except FileExistsError as error:
            raise LogError(f"{place} exists already; name another file.") from error
        except (OSError, ValueError) as error:
            if begun:
                place.unlink(missing_ok=True)  # half a copy would pass for a whole one
            reason = getattr(error, "strerror", None) or error
            raise LogError(f"Conversation {number} could not be copied to {place}: {reason}.") from error
        return f"Conversation {number} is copied to {place}."

    def delete(self, name: str) -> str:
        """Delete a conversation that is open nowhere. Returns one plain line; raises LogError."""
        if not name:
            raise LogError("Which one? Name the conversation to delete.")
        path, number = self.find(name)
        try:
            log, _ = Log.open(path)
        except LogError as error:
            if "another chat" in str(error):
                raise
        else:
            log.close()
        try:
            path.unlink()
        except OSError as error:
            raise LogError(f"Conversation {number} could not be deleted: {error.strerror or error}.") from error
        return f"Conversation {number} is deleted."

    def _path(self, number: int) -> Path:
        return self.folder / f"conversation-{number:04d}.jsonl"

    def _remember(self, name: str) -> None:
        try:
            (self.folder / "last").write_text(name, "ascii")
        except OSError:
            pass  # only a convenience: the highest number serves


def _some(names: list[str]) -> str:
    return count(len(names), "conversation") + (f", {names[0]} to {names[-1]}" if len(names) > 1 else f", {names[0]}")


def summary_line(summary: Summary, width: int = 80) -> str:
    """A past conversation on one line: number, when, how much was said, how it began."""
    if summary.trouble:
        return f"{summary.name:>4}  cannot be read here: {summary.trouble}"
    head = f"{summary.name:>4}  {when(summary.last)}  {summary.messages:>3} said  "
    room = max(width - len(head) - 2, 10)
    first = summary.first if len(summary.first) <= room else summary.first[: room - 3].rstrip() + "..."
    return head + (f'"{first}"' if first else "nothing said")


def when(at: str) -> str:
    """The log's UTC time as the person's own clock would say it; dashes where it cannot be read."""
    from datetime import datetime

    try:
        return datetime.fromisoformat(at.replace("Z", "+00:00")).astimezone().strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError, OSError):
        return "----------------"


