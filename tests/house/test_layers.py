"""Which way imports go is fixed in pyproject.toml and held here."""

import contextlib
import io
import shutil
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def linted(folder: Path, monkeypatch) -> tuple[int, str]:
    """Exit status and report of the import contracts on the tree in a folder."""
    from importlinter.cli import lint_imports

    monkeypatch.chdir(folder)
    monkeypatch.syspath_prepend(str(folder))
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        status = lint_imports(config_filename=str(folder / "pyproject.toml"), no_cache=True, no_logo=True)
    return status, out.getvalue()


def test_every_import_goes_downward(monkeypatch):
    """No module imports from a layer above its own or from a neighbour it must not know, and every package has a place."""
    status, report = linted(ROOT, monkeypatch)
    assert status == 0, report


@pytest.mark.parametrize(("where", "line", "broken"), [
    ("engine/run.py", "from assistant.evidence import weights", "Layers of the house BROKEN"),
    ("language/text.py", "from assistant.engine import normal", "Layers of the house BROKEN"),
    ("records.py", "from assistant import problems", "Layers of the house BROKEN"),
    ("evidence/weights.py", "import experta", "Only the shim knows the rule library BROKEN"),
    ("dialogue/turn.py", "def late():\n    import prompt_toolkit", "Only the chat knows the terminal BROKEN"),
    ("novelty/__init__.py", "", "must be declared as a layer")])
def test_the_contracts_notice(tmp_path, where, line, broken):
    """An import the wrong way is reported, also a late one inside a function; so is a package without a place."""
    shutil.copytree(ROOT / "assistant", tmp_path / "assistant", ignore=shutil.ignore_patterns("__pycache__", "_knowledge"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    path = tmp_path / "assistant" / where
    path.parent.mkdir(exist_ok=True)
    with open(path, "a", encoding="utf-8") as file:
        file.write(f"\n{line}\n")
    done = _in_a_process_of_its_own(tmp_path)
    assert done.returncode == 1
    assert broken in done.stdout


def _in_a_process_of_its_own(folder: Path):
    """The contract read `assistant` from where Python finds it; another tree needs another Python."""
    import subprocess
    import sys

    code = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True, no_logo=True))"
    return subprocess.run([sys.executable, "-c", code], cwd=folder, capture_output=True, text=True, timeout=60, env={"PYTHONPATH": str(folder), "PATH": ""})
