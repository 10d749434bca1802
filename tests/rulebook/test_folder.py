"""Whatever is found where the knowledge should be, the loader says so in plain words and never hangs or falls over."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.problems import KnowledgeError
from assistant.rulebook import files
from assistant.rulebook.load import examine, load
from tests.rulebook.folders import codes_of, folder_with, said_of


def test_a_missing_folder_is_named(tmp_path):
    """A folder that is not there is one complaint that names it."""
    folder = tmp_path / "nowhere"
    assert said_of(folder) == (
        f"{folder}:1:1  error  folder-missing\n  The knowledge folder '{folder}' does not exist.\n"
        "  Mend: name the right folder with --knowledge DIR, or install Tickover anew.\n")


def test_a_file_is_not_a_folder(tmp_path):
    """A file named as the folder is called what it is."""
    path = tmp_path / "knowledge"
    path.write_text("rules: {}")
    assert "is not a folder" in said_of(path)


@pytest.mark.parametrize("name", ["a" * 5000, "a\0b", ""])
def test_odd_folder_names_are_complaints(name):
    """A name that no folder can have is a complaint like any other."""
    assert set(codes_of(Path(name or "/dev/null"))) <= {"folder-missing", "folder-unreadable"}
    assert codes_of(Path(name or "/dev/null"))


def test_a_folder_that_may_not_be_read(tmp_path, monkeypatch):
    """A folder that may not be looked into is a complaint, also when it lies deeper; the rest is still read."""
    folder = folder_with(tmp_path)
    (folder / "rules").mkdir()
    real = os.scandir

    def refusing(path):
        if str(path).endswith("rules"):
            raise PermissionError(13, "Permission denied", str(path))
        return real(path)

    monkeypatch.setattr(os, "scandir", refusing)
    assert said_of(folder) == (f"{folder}:1:1  error  folder-unreadable\n  The folder '{folder}/rules' cannot be read: Permission denied.\n"
                               "  Mend: give it read permission.\n")


def test_an_empty_folder(tmp_path):
    """A folder without any file to read is a complaint; hidden files, cases and other suffixes do not count."""
    for name in (".spark.yaml", "spark.cases.yaml", "notes.txt"):
        (tmp_path / name).write_text("rules: {}")
    assert codes_of(tmp_path) == ["folder-empty"]


def test_too_many_files(tmp_path, monkeypatch):
    """A folder with more files than knowledge ever needs is the wrong folder, and is not read."""
    monkeypatch.setattr(files, "MAX_FILES", 3)
    assert codes_of(folder_with(tmp_path)) == ["folder-too-large"]


def test_a_file_that_may_not_be_read(tmp_path, monkeypatch):
    """A file that cannot be opened is one complaint at that file."""
    folder = folder_with(tmp_path, secret="parts: {}")
    real = Path.read_bytes

    def refusing(path):
        if path.name == "secret.yaml":
            raise PermissionError(13, "Permission denied")
        return real(path)

    monkeypatch.setattr(Path, "read_bytes", refusing)
    assert said_of(folder) == ("knowledge/secret.yaml:1:1  error  file-unreadable\n  This file cannot be read: Permission denied.\n"
                               "  Mend: give it read permission, or remove it.\n")


def test_an_empty_file(tmp_path):
    """An empty file is a complaint, and so is one with blanks only."""
    assert codes_of(folder_with(tmp_path, blank="", spaces="  \n\n")) == ["file-empty", "file-empty"]


def test_a_null_file(tmp_path):
    """A file whose whole content is nothing is not taken for a sound one."""
    assert codes_of(folder_with(tmp_path, nothing="~\n")) == ["file-shape"]


def test_a_huge_file(tmp_path):
    """A file of 50 MB is refused by its size, unread."""
    folder = folder_with(tmp_path)
    with open(folder / "huge.yaml", "wb") as file:
        file.truncate(50_000_000)  # sparse: takes no room on the disk
    assert said_of(folder) == ("knowledge/huge.yaml:1:1  error  file-too-large\n"
                               "  This file has 50,000,000 bytes; a knowledge file may have 2,000,000.\n"
                               "  Mend: split it by theme, or move out what does not belong here.\n")


def test_a_binary_file(tmp_path):
    """A file that is not text is called that."""
    assert codes_of(folder_with(tmp_path, picture=b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR")) == ["not-text"]


def test_an_alias_bomb(tmp_path):
    """Nine levels of nine aliases, which would unfold to four hundred million values, are one complaint."""
    names = "abcdefghi"
    bomb = "glossary:\n  a: &a {plain: [lol, lol, lol, lol, lol, lol, lol, lol, lol]}\n" + "".join(
        f"  {name}: &{name} {{plain: [{', '.join(['*' + before] * 9)}]}}\n" for before, name in zip(names, names[1:]))
    found = [p for p in examine(folder_with(tmp_path, bomb=bomb))[1] if p.code == "alias-used"]
    assert [(p.line, p.column) for p in found] == [(3, 18)]
    assert "72 aliases in this file" in found[0].what


@pytest.mark.parametrize("text", ["[" * 100_000, "{a: " * 100_000, "- " * 100_000 + "a", "\n".join(" " * n + "a:" for n in range(1900)),
                                  "rules:\n  a:\n    when: " + "{not: " * 900 + "{a: b}" + "}" * 900])
def test_deep_nesting(tmp_path, text):
    """However deep the nesting, it is a complaint and never the end of the program."""
    assert codes_of(folder_with(tmp_path, deep=text)) == ["too-deep"]


def test_many_brackets_are_not_depth(tmp_path):
    """Lone brackets in texts, as many as one likes, are no nesting."""
    text = "glossary:\n" + "".join(f"  word-{n}: {{plain: 'an open bracket [ or brace {{'}}\n" for n in range(60))
    assert codes_of(folder_with(tmp_path, brackets=text)) == []


def test_a_link_out_of_the_folder(tmp_path):
    """Links to files and folders outside are complaints, and what they lead to is not read."""
    outside = tmp_path / "outside"
    outside.mkdir()
    (outside / "more.yaml").write_text("parts: {coil: {plain: a coil}}")
    folder = folder_with(tmp_path)
    (folder / "file.yaml").symlink_to(outside / "more.yaml")
    (folder / "folder").symlink_to(outside)
    book, problems = examine(folder)
    assert [(p.file, p.code) for p in problems] == [("knowledge/file.yaml", "outside-folder"), ("knowledge/folder", "outside-folder")]
    assert "coil" not in book.parts


def test_a_link_inside_the_folder_is_read_once(tmp_path):
    """A linked folder whose target is in the folder anyway changes nothing."""
    folder = folder_with(tmp_path)
    (folder / "sub").mkdir()
    (folder / "sub" / "more.yaml").write_text("parts: {coil: {plain: a coil}}")
    (folder / "again").symlink_to(folder / "sub")
    assert codes_of(folder) == []


@pytest.mark.parametrize("target", ["loop.yaml", "missing.yaml"])
def test_links_that_lead_nowhere(tmp_path, target):
    """A link to itself or to nothing is a file that cannot be read."""
    folder = folder_with(tmp_path)
    (folder / "loop.yaml").symlink_to(folder / target)
    assert codes_of(folder) == ["file-unreadable"]


def test_a_pipe_is_not_waited_for(tmp_path):
    """A named pipe with a file's name does not make the loader wait."""
    folder = folder_with(tmp_path)
    os.mkfifo(folder / "pipe.yaml")
    assert codes_of(folder) == ["file-unreadable"]


def test_an_editors_lock_is_no_mistake(tmp_path):
    """The hidden files that editors leave beside an open file are not read."""
    folder = folder_with(tmp_path)
    (folder / ".#rules.yaml").symlink_to("someone@somewhere.1234")
    (folder / ".rules.yaml.swp").write_bytes(b"\0")
    assert codes_of(folder) == []


def test_a_file_with_the_other_suffix(tmp_path):
    """A .yml file is not read; since somebody may think it is, that is said."""
    folder = folder_with(tmp_path)
    (folder / "more.yml").write_text("parts: {coil: {plain: a coil}}")
    assert said_of(folder) == ("knowledge/more.yml:1:1  warning  file-not-read\n  This file is not read: its name ends in .yml.\n"
                               "  Mend: rename it so that it ends in .yaml.\n")
    assert load(folder).warnings


def test_load_raises_with_every_complaint(tmp_path):
    """Several mistakes of different stages in different files come in one go, in order of place."""
    folder = folder_with(tmp_path, a_syntax="parts:\n  coil: {plain: 'a coil\n", b_shape="tools:\n  torch: {plane: a torch}\n",
                         c_link="cautions:\n  acid: {signal: LOUD, hazard: Acid., harm: It burns., avoid: Wear gloves.}\n"
                                "limits:\n  ohms-most: {plain: most ohms, unit: ohm, value: 5, manual: ohms-in-manual}\n",
                         d_binary=b"\0\1")
    with pytest.raises(KnowledgeError) as caught:
        load(folder)
    assert [p.code for p in caught.value.problems] == ["yaml-syntax", "unknown-key", "unknown-word", "unknown-fact", "not-text"]
    assert str(caught.value) == "5 complaints about the knowledge files"


def test_the_command_line_says_it_all_and_ends_with_3(tmp_path):
    """`ask` on broken files prints every complaint on standard error, nothing on standard output, and exits with 3."""
    folder = folder_with(tmp_path, a="parts:\n  coil: a coil\n", b="tools:\n  torch: {plane: a torch}\n")
    done = subprocess.run([sys.executable, "-m", "assistant", "ask", "--knowledge", str(folder), "it is dead"], capture_output=True, text=True, timeout=60)
    assert done.returncode == 3
    assert done.stdout == ""
    assert [line for line in done.stderr.splitlines() if "  error  " in line] == [
        "knowledge/a.yaml:2:3  error  entry-shape", "knowledge/b.yaml:2:11  error  unknown-key"]
    assert done.stderr.splitlines()[-1] == "2 complaints about the knowledge files; mend them and try again."


def test_the_command_line_on_a_missing_folder():
    """`ask` without knowledge exits with 3 as well."""
    done = subprocess.run([sys.executable, "-m", "assistant", "ask", "--knowledge", "/nowhere/at/all", "x"], capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stdout) == (3, "")
    assert "folder-missing" in done.stderr


@pytest.mark.parametrize("how", ["utf-16", "too large", "no file"])
def test_what_stands_in_a_file_that_cannot_be_read_is_not_called_unknown(how, tmp_path):
    """One complaint about that file, and none about every name that may be described in it; slips of other kinds are still told."""
    from assistant.rulebook.load import examine
    from tests.trainer.folders import folder_with as sound

    folder = sound(tmp_path, more="parts:\n  bell: {plane: a bell}\n")
    faults = folder / "faults.yaml"
    text = faults.read_text()
    if how == "utf-16":
        faults.write_bytes(text.encode("utf-16"))
    elif how == "too large":
        faults.write_text(text + "#" * 3_000_000)
    else:
        faults.unlink()
        os.mkfifo(faults)
    codes = [p.code for p in examine(folder)[1] if p.level == "error"]
    assert sorted(codes) == sorted(["unknown-key", {"utf-16": "not-text", "too large": "file-too-large", "no file": "file-unreadable"}[how]])
