"""Knowledge folders for the tests of the loader: the small sound one, with something added to it."""

from __future__ import annotations

import shutil
from pathlib import Path

from assistant.rulebook.load import examine

HERE = Path(__file__).parent
BASE = HERE / "base"
BROKEN = HERE / "broken"


def folder_with(place: Path, **files: str | bytes) -> Path:
    """A copy of the small folder under `place`, with further files: name (without .yaml) to content."""
    folder = place / "knowledge"
    shutil.copytree(BASE, folder)
    for name, content in files.items():
        path = folder / f"{name}.yaml"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return folder


def said_of(folder: Path) -> str:
    """All complaints about a folder, as they are printed."""
    return "".join(problem.text() + "\n" for problem in examine(folder)[1])


def codes_of(folder: Path) -> list[str]:
    """The codes of all complaints about a folder, in order of place."""
    return [problem.code for problem in examine(folder)[1]]
