"""Every mistake has its complaint: one small file for each code, with the complete message it must give."""

import ast
import re

import pytest

from assistant.rulebook import codes
from assistant.rulebook.load import examine
from assistant.rulebook.models import KINDS
from tests.rulebook.folders import BASE, BROKEN, folder_with, said_of

NAMES = sorted(path.stem for path in BROKEN.glob("*.yaml"))
RULEBOOK = BASE.parents[2] / "assistant" / "rulebook"


def test_the_small_folder_is_sound():
    """The folder that all broken files are added to has nothing wrong with it."""
    assert examine(BASE)[1] == []


@pytest.mark.parametrize("code", NAMES)
def test_one_mistake_gives_exactly_its_message(code, tmp_path):
    """The file is complained of once, under the code that is its name, in the words recorded beside it."""
    folder = folder_with(tmp_path, **{code: (BROKEN / f"{code}.yaml").read_bytes()})
    said = said_of(folder)
    assert (BROKEN / f"{code}.txt").read_text(encoding="utf-8") == said
    assert said.count("  Mend: ") == 1
    assert f"  {'warning' if code in codes.WARNINGS else 'error'}  {code}\n" in said


def test_every_code_has_its_broken_file():
    """No code without a proof, but for those about the folder and the file as such, which are tested directly."""
    assert sorted(codes.CONTENT) == NAMES


def test_every_code_in_the_loader_is_described():
    """A code that a complaint can carry is in the list of codes, and the list has no code that nothing carries."""
    assert set(codes.CODES) == set().union(*(_codes_in(path.read_text()) for path in RULEBOOK.glob("*.py") if path.stem != "codes"))


def _codes_in(text: str) -> set[str]:
    """The codes given to `complain`, `complain_at` or `Problem`; of ids, one for each kind of name that is passed to `ids`."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Call):
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            for argument in node.args[:5] if name in ("complain", "complain_at", "Problem") else []:
                if isinstance(argument, ast.Constant) and isinstance(argument.value, str) and re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", argument.value):
                    found.add(argument.value)
            if name == "ids" and isinstance(node.args[-1], ast.Constant):
                found.add(f"unknown-{node.args[-1].value}")
        if isinstance(node, ast.Tuple) and len(node.elts) == 4 and getattr(node.elts[2], "value", None) in KINDS:
            found.add(f"unknown-{node.elts[3].value}")  # the tables of names in links and rule_links
    return found


@pytest.mark.parametrize("code", NAMES)
def test_messages_read_like_a_person_wrote_them(code):
    """A place that editors jump to, a sentence, one mend; no exclamation mark and none of the libraries' own words."""
    said = (BROKEN / f"{code}.txt").read_text(encoding="utf-8")
    head, what, mend, *more = said.splitlines()
    assert more == []
    assert re.fullmatch(r"knowledge/[a-z0-9-]+\.yaml:[0-9]+:[0-9]+  (error|warning)  [a-z0-9-]+", head)
    assert what.startswith("  ") and what.endswith(".")
    assert mend.startswith("  Mend: ") and mend.endswith(".")
    words = re.sub(r"'[^']*'", "", what + mend)  # without the author's own words
    assert not re.search(r"(?i)\b(pydantic|validation|literal|union|value error|scalar|token|collection|dict|str|int)\b|!", words)
