"""A job sheet holds what a workshop needs, as Markdown and as a page, and nothing in it is markup but our own."""

from __future__ import annotations

import re

import pytest

from assistant.sheet.gather import gather
from assistant.sheet.markdown import to_markdown
from assistant.sheet.page import to_page
from tests.sheet.conftest import HARMFUL
from tests.sheet.test_escape import Collector, parsed

OWN = {"small", "html", "head", "meta", "title", "style", "body", "h1", "h2", "p", "section", "table", "thead", "tbody", "tr", "th", "td", "dl", "dt", "dd", "ul", "ol", "li",
       "div", "blockquote", "br", "figure", "figcaption", "footer", "svg", "line", "text", "polyline", "polygon", "circle"}

CHARGED = (("repair", "battery-flat"), "charged it")


def sheet(case, name="3", made="2026-03-01T11:00:00Z"):
    """The sheet of a case."""
    return gather(case.mind, case.events, name, made)


def section(case, title):
    """The Markdown of one section; empty where it is not there."""
    found = re.search(rf"^## {re.escape(title)}\n\n(.*?)(?=^## |^---$)", to_markdown(sheet(case)), re.S | re.M)
    return found[1].strip() if found else ""


def test_the_sections_a_workshop_needs_are_there(usual):
    """Conclusion, machine, story, signs, readings, checks, ranking, rules, repair, proof, what was not tested: in this order."""
    titles = [s.title for s in sheet(usual).sections]
    assert titles == ["In short", "Machine", "Story, in the owner's words", "Signs and history", "Readings", "Checks done", "Ranking", "Rules that carried it",
                      "Repair", "Proof of cure", "Not tested"]


def test_cautions_of_what_comes_next_are_on_the_sheet(conversation):
    """Who gets the sheet is warned of what the proposed repair can do."""
    case = conversation("no spark", "plug is wet")
    assert sheet(case) and "- **!** WARNING: A spark in the open. It lights fuel vapour. Keep fuel away." in section(case, "Cautions")


def test_an_empty_conversation_makes_a_sheet(conversation):
    """Before anything was said there is a sheet too, and it says that nothing was told."""
    made = to_markdown(sheet(conversation()))
    assert "Nothing was told yet." in made and "None yet." in made
    assert to_page(sheet(conversation())).startswith("<!DOCTYPE html>")


def test_the_story_is_word_for_word_with_what_was_asked(usual):
    """Messages as typed, with the question they answer and what was understood; a question to the assistant is no story."""
    story = section(usual, "Story, in the owner's words")
    assert "> it cranks slowly and the lights are dim" in story
    assert "Understood: what it does on the button: it turns slowly; what the lights do: a dim light" in story
    assert "**Message 2** (asked: " in story
    assert "> why" not in story and "Messages that only asked something are left out." in story


def test_readings_have_unit_limit_and_conditions(usual):
    """The number with its unit, the verdict, every limit with its origin, and the conditions."""
    row = next(line for line in section(usual, "Readings").splitlines() if "11.3" in line)
    assert [c.strip() for c in row.strip("|").split("|")] == ["Measure the battery at rest", "11.3 V", "low", "12 V (rule of thumb)", "key off (as asked for)", "2"]


def test_an_earlier_reading_of_the_same_is_marked(conversation):
    """Read twice, both stand there, and the first says that it was read again."""
    text = section(conversation("battery reads 11.3 V", "battery reads 12.7 V"), "Readings")
    assert "low, read again later" in text and re.search(r"12\.7 V \| good \|", text)


def test_a_limit_of_the_manual_is_named_so(conversation):
    """The owner's manual beats the rule of thumb on the sheet as well."""
    text = section(conversation("battery reads 12.6 V", given={"manual-least-volts": 12.8}), "Readings")
    assert "12.8 V (manual)" in text and "| low |" in text


def test_rules_have_words_numbers_place_and_a_sum(usual):
    """For the fault in front: each counted rule with words, frequencies, decibans, file and line; covered ones apart; a sum."""
    text = section(usual, "Rules that carried it")
    assert re.search(r"\| 1 \| A slow crank points at the battery\.; slow-crank-is-the-battery, workshop/knowledge\.yaml:\d+ \(a\) \| You said \"cranks slowly\".*\| 80 / 8 \| \+9\.9 \|", text)
    assert "Not counted twice: dim-lights-are-the-battery (+9.9, covered by slow-crank-is-the-battery)." in text
    assert "Sources: (a) common practice." in text
    from tests.dialogue.test_accounts import add_up

    add_up(next(line for line in text.splitlines() if line.startswith("Sum:")))


def test_what_was_not_tested_is_said(conversation):
    """Direct tests of suspects that nobody did, needs without any check, what was passed over."""
    text = section(conversation("it cranks fine", "no spark"), "Not tested")
    assert "For fouled plug" in text and "look at the plug" in text and "try another coil" in text
    assert "No check at all on: power, fuel." in text


def test_the_proof_is_open_until_it_is_reported(conversation):
    """Before: a box to tick. After: proven, with the message that reported it."""
    open_ = section(conversation("it cranks slowly", "lights are dim"), "Proof of cure")
    assert "- [ ] It cranks three times running." in open_
    done = conversation("it cranks slowly", "lights are dim", "battery reads 10.4 V", *CHARGED, ("proof", "battery-flat"), "yes")
    assert done.state.cured
    assert re.search(r"Proven: It cranks three times running\. Reported in message 5: \"yes\"\.", section(done, "Proof of cure"))
    assert "Cured: flat battery." in section(done, "In short")
    assert "it helped, and the cure was proven" in section(done, "Repair")
    assert "So that it does not come back: Ride it once a week." in section(done, "Proof of cure")


def test_after_a_cure_the_sheet_shows_what_led_to_it(conversation):
    """The readings and rules from before the repair carry the conclusion, though they no longer count for the machine as it is."""
    done = conversation("it cranks slowly", "lights are dim", "battery reads 10.4 V", *CHARGED, ("proof", "battery-flat"), "yes")
    assert "10.4 V" in section(done, "Readings")
    assert "very-low-volts-say-it-louder" in section(done, "Rules that carried it")
    assert "Flat battery" in section(done, "Ranking before the repair")
    assert section(done, "Cautions") == ""


def test_a_repair_that_did_not_help_stays_on_the_sheet(conversation):
    """It is in the table of repairs, and the ranking is the one after it."""
    case = conversation("it cranks slowly", "lights are dim", "battery reads 10.4 V", *CHARGED, ("proof", "battery-flat"), "still the same")
    assert "did not help" in section(case, "Repair")
    assert "Ranking" in [s.title for s in sheet(case).sections]
    assert section(case, "Told, but no longer counted")


def test_what_was_taken_back_is_apart(conversation):
    """It stands at the end with the reason, and nowhere among the facts."""
    case = conversation("it cranks slowly", "no spark", "take that back")
    assert "taken back" in section(case, "Told, but no longer counted")
    assert "spark" not in section(case, "Checks done")


def test_the_movement_is_a_table_and_a_picture(usual):
    """Markdown has the shares of each message that told something; the page draws them, with a line for each fault of the table."""
    text = section(usual, "Ranking")
    rows = [line for line in text[text.index("Chance of 100 after message"):].splitlines()[2:] if line.startswith("|")]
    said = re.findall(r"\*\*Message (\d+)\*\*", section(usual, "Story, in the owner's words"))
    assert len(said) == 4 and f"| Chance of 100 after message | start | {' | '.join(said)} |" in text
    page = to_page(sheet(usual))
    assert page.count("<polyline") == len(rows) > 1


def test_the_shares_drawn_are_those_of_the_conversation(usual):
    """The last column is the ranking as it stands."""
    from assistant.sheet.record import Chart

    chart = next(b for s in sheet(usual).sections for b in s.blocks if isinstance(b, Chart))
    ranking = usual.think().ranking
    for line in chart.lines:
        fault = next(f for f in usual.mind.book.faults.values() if f.plain == line.name.lower())
        assert line.shares[-1] == pytest.approx(ranking.of(fault.id).probability)


def test_the_spread_stands_under_the_ranking(usual, conversation):
    """How far the slips of past tests may move the chance is said where there were tests, and only there."""
    assert re.search(r"Allowing every test its known rate of slips, flat battery comes to [\d.]+ in 100, from [\d.]+ to [\d.]+ in 100", section(usual, "Ranking"))
    assert "slips" not in section(conversation("it cranks slowly"), "Ranking")


def test_making_a_sheet_changes_nothing(usual):
    """The case has the same state and events after it."""
    before, events = usual.state, list(usual.events)
    to_page(sheet(usual))
    assert usual.state == before and usual.events == events


def test_a_page_stands_alone(usual):
    """No script, link, picture, font or style from anywhere else: no address is in it but the name of the drawing language."""
    page = to_page(sheet(usual))
    assert not {"script", "link", "img", "iframe", "object", "a"} & set(parsed(page).tags)
    assert re.findall(r"\w+://[^\"' ]+", page) == ["http://www.w3.org/2000/svg"]
    assert "@import" not in page and "url(" not in page


def test_nothing_harmful_gets_through_to_the_page(conversation):
    """A story full of markup and escape sequences is shown as the text it is; the only tags are our own."""
    page = to_page(sheet(conversation(HARMFUL, "no spark")))
    found: Collector = parsed(page)
    assert set(found.tags) <= OWN
    assert found.tags.count("h1") == 1 and found.tags.count("style") == 1
    assert "<script>alert('x')</script>" in found.text and "# no heading" in found.text
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", page)
    assert not re.search(r"<[^>]+\s(?:on\w+|href|src)\s*=", page)
    assert "default-src 'none'" in page


def test_nothing_harmful_gets_through_to_markdown(conversation):
    """The same story as Markdown: no raw tag, no heading, list, link or rule of its making, no control character."""
    made = to_markdown(sheet(conversation(HARMFUL, "no spark")))
    assert not re.search(r"(?<!\\)<", made)
    assert [line for line in made.splitlines() if line.startswith("#")] == [f"{'#' * (1 + (i > 0))} {t}" for i, t in enumerate(
        ["Job sheet: will not start, or will not keep running", *[s.title for s in sheet(conversation(HARMFUL, "no spark")).sections]])]
    assert "](" not in made.replace("\\](", "")
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", made)


def test_harmful_text_in_the_files_is_text_too(conversation, monkeypatch):
    """What a knowledge file says is escaped like a story: a trainer cannot put markup on a sheet."""
    case = conversation("it cranks slowly")
    book = case.mind.book
    bad = book.faults["battery-flat"].model_copy(update={"plain": "<b>flat</b> *battery*", "what": "<script>1</script>"})
    monkeypatch.setitem(book.faults, "battery-flat", bad)
    made = sheet(case)
    assert set(parsed(to_page(made)).tags) <= OWN and "&lt;script&gt;" in to_page(made)
    assert "\\<b\\>flat\\</b\\> \\*battery\\*" in to_markdown(made)


def test_a_long_movement_shows_the_messages_at_which_it_moved_most(conversation):
    """With more messages than columns: the first, the last, and those that mattered; the page draws all of them."""
    made = conversation("the engine cranks slowly", *["the shed is green"] * 12, "battery reads 11.3 V", *["the shed is blue"] * 3)
    head = next(line for line in section(made, "Ranking").splitlines() if "Chance of 100 after message" in line)
    cells = [c.strip() for c in head.strip("|").split("|")][1:]
    assert len(cells) == 9 and {"start", "1", "14", "17"} <= set(cells)


def test_a_test_that_is_open_is_named_for_every_suspect(conversation):
    """The direct test, or where none is open the one that would tell most."""
    text = section(conversation("it cranks slowly"), "Not tested")
    assert re.search(r"For dead coil \(.*\): try another coil", text)


def test_a_hold_that_is_no_matter_of_safety_is_not_on_the_sheet():
    """What is only kept back to save work is no caution. On the real files, which have such holds."""
    from assistant.dialogue.case import Case
    from assistant.dialogue.think import Mind
    from assistant.rulebook.find import knowledge_folder
    from assistant.rulebook.load import load

    made = Case(Mind(load(knowledge_folder())))
    made.hear("it cranks fine but will not fire")
    rules = {b.rule for b in made.think().blocks}
    quiet = [made.mind.book.rules[r].says for r in rules if made.mind.book.rules[r].quiet]
    loud = [made.mind.book.rules[r].says for r in rules if not made.mind.book.rules[r].quiet]
    text = section(made, "Cautions")
    assert quiet and not any(says in text for says in quiet) and all(says in text for says in loud)
