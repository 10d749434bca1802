"""Adds entries to knowledge files: in the right file, at the end of their kind, all or nothing.

Only lines are added, never moved, so comments and layout of what stands there stay as they are.
"""

from __future__ import annotations

from pathlib import Path
from types import TracebackType

LONG = 300  # lines from which a file is not added to any more


class Writing:
    """Changes to several files that are taken back together when something goes wrong. Use as a context manager."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._before: dict[Path, bytes | None] = {}
        self.touched: list[Path] = []

    def __enter__(self) -> "Writing":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        if error is not None:
            self.take_back()

    def take_back(self) -> None:
        """Put every file back as it was."""
        for path, content in self._before.items():
            if content is None:
                path.unlink(missing_ok=True)
            else:
                path.write_bytes(content)

    def _lines(self, path: Path) -> list[str]:
        if path not in self._before:
            self._before[path] = path.read_bytes() if path.exists() else None
            self.touched.append(path)
        return path.read_text(encoding="utf-8").splitlines() if path.exists() else []

    def _write(self, path: Path, lines: list[str]) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")

    def add_entry(self, path: Path, kind: str, entry: list[str], header: str = "") -> int:
        """Put an entry (its lines, already indented) at the end of a kind; returns the line of its first line."""
        lines = self._lines(path)
        if not lines and header:
            lines = [f"# {header}"]
        start = next((i for i, line in enumerate(lines) if line.startswith(f"{kind}:")), None)
        if start is None:
            lines += [f"{kind}:", *entry]
            at = len(lines) - len(entry)
        else:
            at = _end_of_block(lines, start)
            lines[at:at] = entry
        self._write(path, lines)
        return at + 1

    def add_item(self, path: Path, line: int, item: str) -> None:
        """Put an item into the flow list or mapping that opens on or after a line (from 1), as its first."""
        lines = self._lines(path)
        for index in range(line - 1, min(line + 3, len(lines))):
            text = lines[index]
            opens = min((p for p in (text.find("{", text.find(":")), text.find("[", text.find(":"))) if p >= 0), default=-1)
            if opens >= 0:
                empty = text[opens + 1:].lstrip()[:1] in ("}", "]")
                lines[index] = f"{text[: opens + 1]}{item}{'' if empty else ', '}{text[opens + 1:].lstrip()}"
                self._write(path, lines)
                return
        deeper = next((len(t) - len(t.lstrip()) for t in lines[line: line + 1]), 0)
        lines.insert(line, " " * deeper + item)
        self._write(path, lines)

    def insert(self, path: Path, line: int, text: str) -> None:
        """Put a line in, so that it becomes that line of the file (from 1)."""
        lines = self._lines(path)
        lines.insert(line - 1, text)
        self._write(path, lines)


def _end_of_block(lines: list[str], start: int) -> int:
    """Where the next entry of a top-level key goes: after its last line that holds something."""
    end = start + 1
    for index in range(start + 1, len(lines)):
        line = lines[index]
        if line.strip() and not line.startswith((" ", "#", "-")):
            break
        if line.startswith((" ", "-")) and line.strip():
            end = index + 1
    return end


def roomy(path: Path) -> Path:
    """The file, or the next free one of its name, when it has grown long."""
    number = 2
    stem, best = path.name.removesuffix(".yaml"), path
    while best.exists() and len(best.read_text(encoding="utf-8").splitlines()) >= LONG:
        best = path.with_name(f"{stem}-{number}.yaml")
        number += 1
    return best
