"""Every lint has its broken file: one mistake in it, and the complete message it must give."""

import re

import pytest

from assistant.rulebook.codes import CODES, FOLDER
from assistant.rulebook.load import examine, load
from assistant.trainer import allow, case_files, conversations
from assistant.trainer.lint import codes, explain
from assistant.trainer.lints import all_lints
from tests.trainer.folders import BASE, BROKEN, HERE, codes_of, folder_with, said_of

NAMES = sorted(path.stem for path in BROKEN.glob("*.yaml"))
OURS = sorted({*allow.SAMPLES, *(lint.CODE for lint in all_lints())})


def test_the_small_folder_is_sound():
    """The folder that all broken files are added to has nothing wrong with it."""
    assert said_of(BASE) == ""


@pytest.mark.parametrize("code", NAMES)
def test_one_mistake_gives_exactly_its_message(code, tmp_path):
    """The file is complained of once, under the code that is its name, in the words recorded beside it."""
    folder = folder_with(tmp_path, **{code: (BROKEN / f"{code}.yaml").read_bytes()})
    assert (BROKEN / f"{code}.txt").read_text(encoding="utf-8") == said_of(folder)
    assert codes_of(folder) == [code]


def test_every_code_has_its_broken_file():
    """No code of ours without a proof."""
    assert OURS == NAMES


@pytest.mark.parametrize("code", OURS)
def test_the_samples_that_explain_shows_are_true(code, tmp_path):
    """The bad sample is complained of under its code; the good one has nothing wrong with it."""
    told = explain(code)
    assert code in codes_of(folder_with(tmp_path / "bad", sample=told.bad))
    assert codes_of(folder_with(tmp_path / "good", sample=told.good)) == []


@pytest.mark.parametrize("code", codes())
def test_every_code_can_be_explained(code):
    """Each code, the loader's too, says what it means and how grave it is."""
    told = explain(code)
    assert told.level in ("error", "warning") and told.means.endswith(".") and told.code == code


def test_codes_are_kebab_case_and_name_the_bad_thing_once():
    """Codes are words joined by hyphens, and no two lints share one; none of the loader's is taken."""
    assert all(re.fullmatch(r"[a-z]+(-[a-z0-9]+)*", code) for code in codes())
    assert len(OURS) == len(set(OURS)) and not set(OURS) & set(CODES)


@pytest.mark.parametrize("code", NAMES)
def test_messages_read_like_a_person_wrote_them(code):
    """A place that editors jump to, a sentence, one mend; no exclamation mark and none of the libraries' own words."""
    head, what, mend, *more = (BROKEN / f"{code}.txt").read_text(encoding="utf-8").splitlines()
    assert more == []
    assert re.fullmatch(r"knowledge/[a-z0-9-]+\.yaml:[0-9]+:[0-9]+  (error|warning)  [a-z0-9-]+", head)
    assert what.startswith("  ") and what.endswith(".") and mend.startswith("  Mend: ") and mend.endswith(".")
    words = re.sub(r"'[^']*'", "", what + mend)
    assert not re.search(r"(?i)\b(pydantic|validation|union|token|regex|dict|str|int|null)\b|!", words)


CASES, TALKS = sorted((HERE / "broken_cases").glob("*.yaml")), sorted((HERE / "broken_conversations").glob("*.yaml"))


@pytest.mark.parametrize("path", CASES, ids=[p.stem for p in CASES])
def test_one_mistake_in_a_file_of_cases_gives_exactly_its_message(path, tmp_path):
    """`check` tells it too, at its line, so that a rule renamed beside its cases does not go unseen."""
    folder = folder_with(tmp_path)
    (folder / "rules" / "more.cases.yaml").write_bytes(path.read_bytes())
    assert path.with_suffix(".txt").read_text(encoding="utf-8") == said_of(folder)
    assert codes_of(folder) == [path.stem]


@pytest.mark.parametrize("path", TALKS, ids=[p.stem for p in TALKS])
def test_one_mistake_in_a_conversation_gives_exactly_its_message(path):
    """At its line; the conversation is not replayed."""
    made, problems = conversations.read(load(BASE), path, path.name)
    assert made is None and [p.code for p in problems] == [path.stem]
    assert path.with_suffix(".txt").read_text(encoding="utf-8") == problems[0].text() + "\n"


def test_every_code_of_cases_and_conversations_has_its_broken_file():
    """No code without a proof."""
    assert [p.stem for p in CASES] == sorted(case_files.CODES) and [p.stem for p in TALKS] == sorted(conversations.CODES)


@pytest.mark.parametrize("code", sorted(CODES))
def test_the_samples_of_the_loaders_codes_are_true(code, tmp_path):
    """The bad sample is complained of under its code, the good one loads without a complaint; only what no single text shows has none."""
    told = explain(code)
    if not told.bad:
        assert code in FOLDER or code in ("not-text", "control-character", "text-too-long", "too-deep")
        return
    assert code in codes_of(folder_with(tmp_path / "bad", sample=told.bad))
    assert examine(folder_with(tmp_path / "good", sample=told.good))[1] == []
