"""Stubs pass `check` and their own cases as they are written, and what would not pass is not written at all."""

import pytest

from assistant.cli import main
from assistant.dialogue.think import Mind
from assistant.rulebook.load import load
from assistant.trainer.cases import run_folder
from tests.trainer.folders import folder_with, said_of


def snapshot(folder):
    """Every file with its content."""
    return {p.relative_to(folder).as_posix(): p.read_text() for p in sorted(folder.rglob("*.yaml"))}


@pytest.mark.parametrize("arguments", [
    ["rule", "dim-and-slow", "--when", "lamp=dim", "--when", "turning=slow", "--fault", "battery-flat"],
    ["rule", "bright-lamp-clears-the-joint", "--when", "lamp=bright", "--fault", "joint-bad"],
    ["check", "look-at-the-cable", "--need", "power", "--fault", "joint-bad", "--access", "seat-off"],
    ["fault", "cable-broken", "--need", "power", "--sign", "joint-wiggle=tight"],
    ["fault", "cable-thin", "--need", "power", "--sign", "turning=none", "--plain", "a cable too thin"],
    ["fault", "lamp-dim-fault", "--need", "power", "--sign", "lamp=dim"],
    ["phrase", "turning", "slow", "(labours|labors) round"],
    ["phrase", "joint-wiggle", "moves", "cable wobbles"],
])
def test_a_stub_passes_check_and_its_case_unedited(arguments, tmp_path, capsys):
    """Nothing to complain of, every rule with a case, every case passed; and something was added."""
    folder = folder_with(tmp_path)
    before = snapshot(folder)
    assert main(["knowledge", "new", *arguments, "--knowledge", str(folder)]) == 0
    assert said_of(folder) == ""
    assert run_folder(Mind(load(folder)), folder).passed
    after = snapshot(folder)
    places = capsys.readouterr().out.split()
    assert len(places) >= 2 and all(int(place.rpartition(":")[2]) > 0 for place in places)
    for name, text in before.items():  # lines are only added
        rest = iter(after[name].splitlines())
        assert all(any(line == new or new.replace("joint-wiggle", "") and line in new or _grown(line, new) for new in rest) for line in text.splitlines()), name


def _grown(line, new):
    """A flow list may have got one more item at its front."""
    head, bracket, tail = line.partition("{") if "{" in line else line.partition("[")
    return bool(bracket) and new.startswith(head + bracket) and new.endswith(tail)


@pytest.mark.parametrize(("arguments", "said"), [
    (["rule", "x-y", "--when", "lamp=dim", "--fault", "battery-flat"], "is weighed already by 'dim-lamp-is-low-volts'"),
    (["rule", "x-y", "--when", "lamp=dimm", "--fault", "battery-flat"], "did you mean 'dim'?"),
    (["rule", "x-y", "--when", "lamp", "--fault", "battery-flat"], "is not TOPIC=VALUE"),
    (["rule", "x-y", "--when", "lamp=bright", "--fault", "batery-flat"], "did you mean 'battery-flat'?"),
    (["rule", "X Y", "--when", "lamp=bright", "--fault", "battery-flat"], "is not an id"),
    (["rule", "dim-lamp-is-low-volts", "--when", "lamp=bright", "--fault", "battery-flat"], "exists already at"),
    (["rule", "x-y", "--when", "lamp=bright", "--fault", "battery-flat", "--seen", "99", "--otherwise", "10"], "check would complain of it"),
    (["fault", "cable-broken", "--need", "power", "--sign", "joint-wiggle=moves"], "check would complain of it"),
    (["phrase", "lamp", "dim", "lamp is (weak"], "does not read"),
    (["phrase", "lamp", "dim", "no lamp"], "check would complain of it"),
    (["case", "nothing-such"], "is not a rule"),
    (["case", "--missing"], "every rule has its case already"),
])
def test_what_would_not_pass_is_not_written(arguments, said, tmp_path, capsys):
    """The folder is left as it was, to the byte, and one line says why."""
    folder = folder_with(tmp_path)
    before = snapshot(folder)
    assert main(["knowledge", "new", *arguments, "--knowledge", str(folder)]) == 1
    assert said in capsys.readouterr().err
    assert snapshot(folder) == before


def test_cases_are_made_for_rules_that_have_none(tmp_path):
    """`new case --missing` brings every rule to a case that fires it and one that leaves it silent."""
    folder = folder_with(tmp_path)
    (folder / "rules" / "power.cases.yaml").unlink()
    assert main(["knowledge", "new", "case", "--missing", "--knowledge", str(folder)]) == 0
    result = run_folder(Mind(load(folder)), folder)
    assert result.passed and result.cases >= 6
    text = (folder / "rules" / "power.cases.yaml").read_text()
    assert text.startswith("# Facts in;") and all(f"{rule}" in text.split("stays silent", 1)[1] for rule in ("dark-lamp-is-no-current", "low-battery-is-flat"))


def test_a_long_file_is_not_added_to(tmp_path):
    """Past 300 lines a new one of the same theme is begun."""
    folder = folder_with(tmp_path)
    path = folder / "rules" / "power.yaml"
    path.write_text(path.read_text() + "# filler\n" * 300)
    main(["knowledge", "new", "rule", "dim-and-slow", "--when", "lamp=dim", "--when", "turning=slow", "--fault", "battery-flat", "--knowledge", str(folder)])
    assert "dim-and-slow:" in (folder / "rules" / "power-2.yaml").read_text() and said_of(folder) == ""


def test_complaints_that_were_there_before_do_not_stand_in_the_way(tmp_path):
    """Though the lines they name have moved on by one."""
    more = "phrases:\n  lamp:\n    dim:\n      - lamp glows faintly\n      - lamp glowing faintly\n      - lamp flickers\n    bright:\n      - lamp flickering\n"
    folder = folder_with(tmp_path, more=more)
    assert main(["knowledge", "new", "phrase", "lamp", "dim", "lamp is yellow", "--knowledge", str(folder)]) == 0
    assert "      - lamp is yellow\n" in (folder / "more.yaml").read_text()


def test_a_rule_on_a_new_topic_goes_where_its_fault_is_the_first_explanation(tmp_path):
    """And not to the file that merely lists the fault most often among others."""
    from assistant.trainer.homes import file_for_rule
    from assistant.trainer.view import View
    from tests.trainer.folders import folder_with

    rule = ("  {id}:\n    kind: evidence\n    says: {id}.\n    when: {{lamp: {lamp}, turning: {turning}}}\n    seen-in: {{joint-bad: {joint}, battery-flat: {flat}}}\n"
            "    otherwise: 5\n    source: common-practice\n")
    lists = "rules:\n" + "".join(rule.format(id=f"lists-{n}", lamp=lamp, turning=turning, joint=20, flat=60)
                                for n, (lamp, turning) in enumerate((a, b) for a in ("dim", "dead") for b in ("slow", "none", "quick")))
    points = "rules:\n" + "".join(rule.format(id=f"points-{n}", lamp="bright", turning=turning, joint=60, flat=20) for n, turning in enumerate(("slow", "none", "quick")))
    view = View.of(folder_with(tmp_path, lists=lists, points=points))
    assert file_for_rule(view, ["nothing-yet"], ["joint-bad"]).name == "points.yaml"
    assert file_for_rule(view, ["nothing-yet"], ["battery-flat"]).name == "lists.yaml"
