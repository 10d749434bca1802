"""Where the knowledge files are: the option, the variable, the installed copy, or the checkout."""

from __future__ import annotations

import os
from pathlib import Path

VARIABLE = "TICKOVER_KNOWLEDGE"


def knowledge_folder(option: str | None = None) -> Path:
    """The folder to read, in the order: `--knowledge`, the variable, the copy in the wheel, the checkout's own."""
    for choice in (option, os.environ.get(VARIABLE)):
        if choice:
            return Path(choice)
    package = Path(__file__).resolve().parent.parent
    installed = package / "_knowledge"
    return installed if installed.is_dir() else package.parent / "knowledge"
