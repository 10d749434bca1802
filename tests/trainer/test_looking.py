"""`check`, `list` and `show` as commands: exit status, JSON, places, pictures."""

import json
import re

import pytest

from assistant.cli import main
from assistant.trainer.lint import codes
from tests.trainer.folders import BASE, folder_with

UNCITED = "sources:\n  old-book: {plain: an old book}\n"


def test_check_passes_a_sound_folder(capsys):
    """And says so in its last line."""
    assert main(["knowledge", "check", "--knowledge", str(BASE)]) == 0
    assert capsys.readouterr().out == "no errors, no warnings.\n"


def test_warnings_fail_only_when_strict(tmp_path, capsys):
    """Errors always do."""
    folder = str(folder_with(tmp_path, more=UNCITED))
    assert main(["knowledge", "check", "--knowledge", folder]) == 0
    assert capsys.readouterr().out.endswith("no errors, one warning.\n")
    assert main(["knowledge", "check", "--knowledge", folder, "--strict"]) == 1
    broken = str(folder_with(tmp_path / "b", more="parts: 3\n"))
    assert main(["knowledge", "check", "--knowledge", broken]) == 1


def test_json_carries_the_same_fields(tmp_path, capsys):
    """One object for each complaint."""
    main(["knowledge", "check", "--knowledge", str(folder_with(tmp_path, more=UNCITED)), "--json"])
    assert json.loads(capsys.readouterr().out) == [{"file": "knowledge/more.yaml", "line": 2, "column": 3, "level": "warning", "code": "source-never-cited",
                                                    "what": "Nothing cites 'old-book'.", "mend": "cite it where a number comes from it, or take it out."}]


def test_paths_limit_the_report_or_name_another_folder(tmp_path, capsys):
    """A file inside the folder, a folder of its own, and a path that is neither."""
    folder = folder_with(tmp_path, more=UNCITED)
    assert main(["knowledge", "check", str(folder / "checks.yaml"), "--knowledge", str(folder), "--strict"]) == 0
    assert main(["knowledge", "check", str(folder / "more.yaml"), "--knowledge", str(folder), "--strict"]) == 1
    assert main(["knowledge", "check", str(folder), "--strict"]) == 1
    assert main(["knowledge", "check", str(tmp_path / "nowhere"), "--knowledge", str(folder)]) == 2
    assert main(["knowledge", "check", str(BASE / "checks.yaml"), "--knowledge", str(folder)]) == 2
    assert "does not exist" in capsys.readouterr().err


def test_mend_says_what_it_did(tmp_path, capsys):
    """On standard error, and the report that follows is of the mended files."""
    folder = folder_with(tmp_path, more="phrases:\n  lamp:\n    dim:\n      - lamp glows faintly\n      - lamp glowing faintly\n")
    assert main(["knowledge", "check", "--knowledge", str(folder), "--mend"]) == 0
    told = capsys.readouterr()
    assert told.err == "mended: knowledge/more.yaml:5  phrase-shadowed: take it out.\n" and told.out == "no errors, no warnings.\n"


def test_explain_shows_what_a_code_means(capsys):
    """With a bad and a good sample; a misspelt code is answered with the nearest, 'list' with all."""
    assert main(["knowledge", "check", "--explain", "source-never-cited"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("source-never-cited  (warning)\n\nA source that no entry and no computation cites.\n\nBad:\n") and "\nGood:\n" in out
    assert main(["knowledge", "check", "--explain", "unknown-fault"]) == 0
    assert main(["knowledge", "check", "--explain", "source-newer-cited"]) == 2
    assert "did you mean 'source-never-cited'?" in capsys.readouterr().err
    assert main(["knowledge", "check", "--explain", "list"]) == 0
    told = capsys.readouterr()
    assert told.err == "" and re.search(r"^rules-contradict +error +\S", told.out, re.M) and len(told.out.splitlines()) == len(codes())


def test_show_draws_what_lies_around_a_rule(capsys):
    """Who tells its topic, its condition, and what it weighs."""
    assert main(["knowledge", "show", "dark-lamp-is-no-current", "--knowledge", str(BASE)]) == 0
    assert capsys.readouterr().out.split("around it:\n")[1].splitlines() == [
        "  lamp <- a question, 4 phrases", "    lamp=dead", "      -> [dark-lamp-is-no-current]  evidence",
        "           -> joint-bad  +8.8 dB", "           -> battery-flat  +5.7 dB"]


def test_show_draws_what_speaks_for_a_fault(capsys):
    """Heaviest first, with the condition; and what settles it."""
    main(["knowledge", "show", "joint-bad", "--knowledge", str(BASE)])
    out = capsys.readouterr().out
    assert "    +13.3 dB <- [moving-joint-is-bad] show <- joint-wiggle=moves\n" in out and "  settled by: joint-wiggle\n" in out
    assert "  direct test for (checks): joint-wiggle (base/checks.yaml:24)\n" in out


def test_show_draws_the_values_of_a_topic(capsys):
    """Each value with the rules that wait for it, and those nobody waits for."""
    main(["knowledge", "show", "lamp", "--knowledge", str(BASE)])
    out = capsys.readouterr().out
    assert "    bright  (no rule waits for it)\n" in out and "      -> [dim-lamp-is-low-volts] -> battery-flat +7.4, joint-bad +4.0\n" in out


@pytest.mark.parametrize(("identity", "said"), [("old-book", "nothing is called"), ("joint-bat", "did you mean 'joint-bad'?")])
def test_show_offers_the_nearest_name(identity, said, capsys):
    """Exit status 2."""
    assert main(["knowledge", "show", identity, "--knowledge", str(BASE)]) == 2
    assert said in capsys.readouterr().err
