"""What is kept of parsed files: it gives the same rulebook, is never stale, never trusted when altered, and never in the way."""

import dataclasses
import hashlib
import json
import os

import pytest

import assistant
from assistant.problems import KnowledgeError
from assistant.rulebook import cache
from assistant.rulebook.book import Rulebook
from assistant.rulebook.find import knowledge_folder
from assistant.rulebook.load import examine, load
from tests.rulebook.folders import folder_with

ODD = "settings:\n  turn: {plain: 'a number: 1.50', value: 1.50}\nwords:\n  numbers: [06, 1e3, '07', 12.0, 5]\nglossary:\n  coil: {plain: \"umlaut \\u00fc\", called: [06]}\n"


@pytest.fixture(autouse=True)
def place(tmp_path, monkeypatch):
    """A cache folder of its own for each test."""
    monkeypatch.setenv(cache.VARIABLE, str(tmp_path / "cache"))
    cache._program.cache_clear()
    yield tmp_path / "cache" / "knowledge"
    cache._program.cache_clear()


def files(place):
    """What is kept."""
    return sorted(place.glob("*.json")) if place.is_dir() else []


def same(one: Rulebook, other: Rulebook) -> None:
    """Equal in every field, and in how each value would be shown."""
    for field in dataclasses.fields(Rulebook):
        left, right = getattr(one, field.name), getattr(other, field.name)
        assert left == right and repr(left) == repr(right), field.name


@pytest.fixture
def parsed(monkeypatch):
    """How many files were parsed."""
    from assistant.rulebook import files as module

    count = []
    real = module.read_file
    monkeypatch.setattr(module, "read_file", lambda *a: count.append(a) or real(*a))
    return count


def test_the_same_rulebook_comes_out(tmp_path, place, parsed):
    """The second time no file is parsed, and every entry, number, line, warning and the fingerprint are those of the first."""
    folder = folder_with(tmp_path, odd=ODD)
    first = load(folder)
    assert parsed and len(files(place)) == 1
    parsed.clear()
    same(load(folder), first)
    assert parsed == []
    book, problems = examine(folder)
    book.warnings = sorted(problems)
    same(book, first)


def test_the_real_files_come_out_the_same(parsed):
    """The knowledge files as they are, kept and read again, are the same rulebook."""
    first = load(knowledge_folder())
    parsed.clear()
    same(load(knowledge_folder()), first)
    assert parsed == []


def test_any_change_is_seen(tmp_path, place, parsed):
    """A changed byte, a new, a lost and a renamed file are each read anew, even when date and size stay as they were."""
    folder = folder_with(tmp_path, odd=ODD)
    load(folder)
    path = folder / "odd.yaml"
    state = path.stat()
    path.write_text(ODD.replace("1.50', value: 1.50", "1.60', value: 1.60"))
    os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns))
    assert load(folder).settings["turn"].value == 1.6
    path.rename(folder / "other.yaml")
    assert load(folder).settings["turn"].file == "knowledge/other.yaml"
    (folder / "more.yaml").write_text("parts:\n  wing: {plain: a wing}\n")
    assert "wing" in load(folder).parts
    (folder / "more.yaml").unlink()
    assert "wing" not in load(folder).parts


def test_another_program_does_not_use_it(tmp_path, place, parsed, monkeypatch):
    """Another version of the program reads the files itself."""
    folder = folder_with(tmp_path)
    load(folder)
    monkeypatch.setattr(assistant, "__version__", "0.0.0")
    cache._program.cache_clear()
    parsed.clear()
    load(folder)
    assert parsed and len(files(place)) == 2


@pytest.mark.parametrize("how", ["flip", "cut", "empty", "more", "digest", "link", "junk", "shape", "worse"])
def test_what_was_altered_is_not_used(tmp_path, place, parsed, how):
    """A byte changed, lost or added, a link, and even a well-signed wrong content: the files are read, and the result is right."""
    folder = folder_with(tmp_path, odd=ODD)
    first = load(folder)
    (path,) = files(place)
    data = path.read_bytes()
    raw = json.loads(data.partition(b"\n")[2])

    def signed(body: bytes) -> bytes:
        return hashlib.sha256(body).hexdigest().encode() + b"\n" + body

    if how == "flip":
        path.write_bytes(data.replace(b'"value":1.5', b'"value":9.5'))
        assert path.read_bytes() != data
    elif how in ("cut", "empty", "more", "digest"):
        path.write_bytes({"cut": data[:-9], "empty": b"", "more": data + b" ", "digest": b"0" * 64 + data[64:]}[how])
    elif how == "link":
        path.rename(tmp_path / "elsewhere")
        path.symlink_to(tmp_path / "elsewhere")
    elif how == "junk":
        path.write_bytes(signed(b"[" * 5000))
    elif how == "shape":
        path.write_bytes(signed(b'{"files": [["knowledge/odd.yaml", {"settings": {"turn": {"value": "x"}}}, [], []]], "fingerprint": "f", "warnings": []}'))
    else:
        raw["files"][0][1] = {"no-such-kind": {"a": 1}}
        path.write_bytes(signed(json.dumps(raw).encode()))
    parsed.clear()
    same(load(folder), first)
    assert parsed


def test_files_with_errors_are_not_kept(tmp_path, place):
    """Nothing is kept of a folder with an error, and the error is told every time."""
    folder = folder_with(tmp_path, bad="parts:\n  coil: a coil\n")
    for _ in range(2):
        with pytest.raises(KnowledgeError):
            load(folder)
    assert files(place) == []


def test_an_odd_folder_is_not_kept(tmp_path, place):
    """Links and files with another ending make a folder that is read every time."""
    folder = folder_with(tmp_path)
    (folder / "more.yml").write_text("parts: {}")
    assert load(folder).warnings and load(folder).warnings
    assert files(place) == []


@pytest.mark.parametrize("how", ["file", "off", "nul"])
def test_a_place_that_cannot_be_written(tmp_path, monkeypatch, capfd, how):
    """Where nothing can be kept, the files are read as ever, and nobody is told."""
    (tmp_path / "in-the-way").write_text("")
    monkeypatch.setenv(cache.VARIABLE, {"file": str(tmp_path / "in-the-way"), "off": "", "nul": str(tmp_path / ("x" * 300))}[how])
    same(load(folder_with(tmp_path)), load(tmp_path / "knowledge"))
    assert capfd.readouterr() == ("", "")


def test_the_trainer_always_reads_the_files(tmp_path, place, monkeypatch):
    """`examine` neither asks what is kept nor keeps anything."""
    for name in ("fetch", "store"):
        monkeypatch.setattr(cache, name, lambda *a: pytest.fail("asked"))
    examine(folder_with(tmp_path))
    assert files(place) == []


def test_only_a_few_are_kept(tmp_path, place):
    """The ones used least are let go of, and no half file is left behind."""
    folder = folder_with(tmp_path)
    for number in range(cache.MOST_KEPT + 3):
        (folder / "more.yaml").write_text(f"parts:\n  wing-{number}: {{plain: a wing}}\n")
        load(folder)
    assert len(files(place)) == cache.MOST_KEPT and len(list(place.iterdir())) == cache.MOST_KEPT


def test_the_version_is_the_one_of_the_package():
    """The version in the code is the version of the package."""
    import tomllib

    from tests.fuzz.inputs import ROOT

    assert tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["version"] == assistant.__version__


def test_a_table_of_words(tmp_path, monkeypatch):
    """A table comes back as it was, only for what it depends on, and never when it was altered or is no table."""
    monkeypatch.setenv(cache.VARIABLE, str(tmp_path))
    assert cache.recall("stems", "a") is None
    cache.remember("stems", {"running": "run"}, "a")
    assert cache.recall("stems", "a") == {"running": "run"} and cache.recall("stems", "b") is None
    (path,) = (tmp_path / "words").glob("*.json")
    path.write_bytes(path.read_bytes().replace(b"run\"}", b"rum\"}"))
    assert cache.recall("stems", "a") is None
    for body in (b"[1]", b'{"a": 1}', b"{"):
        path.write_bytes(hashlib.sha256(body).hexdigest().encode() + b"\n" + body)
        assert cache.recall("stems", "a") is None
    monkeypatch.setenv(cache.VARIABLE, "")
    cache.remember("stems", {"a": "b"}, "a")
    assert cache.recall("stems", "a") is None


def test_kept_stems_are_the_stems(monkeypatch):
    """The words are compiled to the same with the stems of an earlier run as without, and no word that a person said is kept."""
    from assistant.language import lexicon, text

    book = load(knowledge_folder())
    fresh: dict = {}
    for kept in (fresh, {}):
        monkeypatch.setattr(text, "_kept", kept)
        text.stem.cache_clear()
        made = lexicon.build(book)
        assert all(made.vocabulary[word] == text._stemmer("english").stemWord(word) for word in made.vocabulary if len(word) > 3 and word not in made.unstemmed)
    assert set(text._kept["english"]) <= set(made.vocabulary)
