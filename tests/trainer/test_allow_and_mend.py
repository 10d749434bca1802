"""Exceptions granted in the files, and the mends that are carried out by request."""

from assistant.trainer.lint import inspect
from assistant.trainer.mending import mend
from tests.trainer.folders import codes_of, folder_with, said_of

SOURCE = "sources:\n  old-book: {plain: an old book}"


def test_an_allowance_on_the_line_hides_the_complaint(tmp_path):
    """With its code and a reason."""
    assert codes_of(folder_with(tmp_path, more=f"{SOURCE}  # allow: source-never-cited, because it is quoted in the handbook\n")) == []


def test_an_allowance_above_the_line_hides_it_too(tmp_path):
    """On a comment line of its own, further comments between."""
    more = SOURCE.replace("  old", "  # allow: source-never-cited, because it is quoted\n  # in the handbook\n  old") + "\n"
    assert codes_of(folder_with(tmp_path, more=more)) == []


def test_an_allowance_speaks_for_its_line_only(tmp_path):
    """The next entry is still complained of, and the count is right."""
    more = f"{SOURCE}  # allow: source-never-cited, because I say so\n  new-book: {{plain: a new book}}\n"
    assert codes_of(folder_with(tmp_path, more=more)) == ["source-never-cited"]


def test_one_allowance_may_name_several_codes(tmp_path):
    """Separated by commas; it is used when one of them hides something."""
    assert codes_of(folder_with(tmp_path, more=f"{SOURCE}  # allow: source-never-cited, fact-changes-nothing, because of the handbook\n")) == []


def test_what_keeps_the_files_from_loading_cannot_be_allowed(tmp_path):
    """The complaint stays, and the allowance is complained of."""
    more = "rules:\n  odd:\n    kind: applies\n    says: Odd.\n    when: {start-by: kick}\n    has: [nonsense]  # allow: unknown-part, because I know better\n    source: common-practice\n"
    assert codes_of(folder_with(tmp_path, more=more)) == ["unknown-part", "allowance-of-unknown-code"]


def test_mend_takes_out_what_adds_nothing_and_leaves_the_rest_as_it_is(tmp_path):
    """Lines are taken out or changed; comments, blank lines, quotes and order stay, to the byte."""
    text = ("# Phrases for the lamp, kept by the night watch.\nphrases:\n  lamp:   # three spaces on purpose\n    dim:\n      - lamp glows faintly   # said often\n\n"
            "      - \"lamp glowing faintly\"\n      - lamp is 'faint'\n")
    folder = folder_with(tmp_path, more=text)
    found = inspect(folder)
    assert [p.code for p in found.problems] == ["phrase-shadowed"]
    result = mend(folder, found)
    assert [p.code for p in result.done] == ["phrase-shadowed"] and result.left == ()
    assert (folder / "more.yaml").read_text() == text.replace("      - \"lamp glowing faintly\"\n", "")
    assert codes_of(folder) == []


def test_mend_renames_and_takes_out_a_stale_allowance(tmp_path):
    """The renamed id is written in the one place, the comment that hides nothing goes, the line keeps its other comment."""
    text = ("parts:\n  saddle-cover: {plain: a saddle cover}\nrules:\n  kicked-has-a-cover:\n    kind: applies\n    says: A cover.  # for the wet\n"
            "    when: {start-by: kick}\n    has: [seat-cover]   # the seamstress calls it so\n    source: common-practice  # allow: rule-unreachable, because of an old quarrel\n")
    folder = folder_with(tmp_path, more=text)
    mend(folder, inspect(folder))
    assert (folder / "more.yaml").read_text() == text.replace("[seat-cover]", "[saddle-cover]").replace("  # allow: rule-unreachable, because of an old quarrel", "")
    assert said_of(folder) == ""


def test_mend_leaves_a_phrase_that_shares_its_line(tmp_path):
    """A list on one line is not rewritten: that would need judgement about the layout."""
    text = "phrases:\n  lamp:\n    dim: [lamp glows faintly, lamp glowing faintly]\n"
    folder = folder_with(tmp_path, more=text)
    result = mend(folder, inspect(folder))
    assert [p.code for p in result.left] == ["phrase-shadowed"] and (folder / "more.yaml").read_text() == text


def test_mend_takes_back_what_would_break_a_file(tmp_path):
    """A list whose only item went would be empty; the file is put back as it was."""
    text = "phrases:\n  lamp:\n    dim:\n      - lamp is weak\n"
    folder = folder_with(tmp_path, more=text)
    found = inspect(folder)
    assert [p.code for p in found.problems] == ["phrase-shadowed"]
    result = mend(folder, found)
    assert (folder / "more.yaml").read_text() == text or codes_of(folder) == []
    assert len(result.done) + len(result.left) == 1


def test_an_id_renamed_in_one_place_is_mended_in_all_the_others(tmp_path, capsys):
    """In every file, in one go, whatever its line ends; afterwards nothing is wrong."""
    from assistant.cli import main

    folder = folder_with(tmp_path, more="rules:\n  dim-and-slow-is-flat:\n    kind: evidence\n    says: Both is flat.\n    when: {lamp: dim, turning: slow}\n"
                         "    seen-in: {battery-flat: 60}  # often\n    otherwise: 3\n    source: common-practice\n")
    rules = folder / "rules" / "power.yaml"
    rules.write_bytes(b"\xef\xbb\xbf" + rules.read_bytes().replace(b"\n", b"\r\n"))
    faults = folder / "faults.yaml"
    faults.write_text(faults.read_text().replace("  battery-flat:\n", "  battery-empty:\n"))
    assert main(["knowledge", "check", "--mend", "--knowledge", str(folder)]) == 0
    assert codes_of(folder) == [] and "battery-flat" not in rules.read_text() + (folder / "checks.yaml").read_text() + (folder / "more.yaml").read_text()
    assert rules.read_bytes().startswith(b"\xef\xbb\xbf") and b"\r\n" in rules.read_bytes() and "# often" in (folder / "more.yaml").read_text()
