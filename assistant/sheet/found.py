"""The sections on what follows: conclusion, how the ranking moved, the rules that carried it, repair, proof, what is untested."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import cards, phrasing
from assistant.dialogue.account_sums import per_1000, share, signed, whole_sum
from assistant.dialogue.account_sure import without
from assistant.dialogue.account_words import all_words, capital, lower, sources
from assistant.explain.contrast import missing
from assistant.explain.slips import sureness
from assistant.explain.why import Account, account, tried_decibans
from assistant.planning.safety import all_hazards
from assistant.sheet.movement import chart, movement
from assistant.sheet.record import Block, Items, Section, Table, Text
from assistant.sheet.told import dropped

if TYPE_CHECKING:
    from assistant.sheet.gather import Case

_SUSPECT, _SUSPECTS = 0.02, 6
_POINTS = 0.3  # from here a fault is worth proposing a repair for
_OUTCOMES = {None: "done; the proof is still open", "cured": "it helped, and the cure was proven", "no-change": "did not help"}
_WHO = {"owner": "the owner", "handy": "somebody at home with spanners, with the manual at hand", "workshop": "a workshop"}
_PARTS = {"nothing": "no parts", "consumable": "a small consumable", "cheap": "a cheap part", "medium": "a part at a middling price", "dear": "a dear part",
          "major": "a major part"}


def conclusion(case: "Case") -> Section | None:
    """The first lines somebody reads: where it points, or what cured it, and the next step."""
    book, subject, at = case.book, case.subject, case.concluded
    if subject is None:
        return Section("In short", (Text("Nothing points anywhere yet.", "lead"),))
    fault, standing = book.faults[subject], at.ranking.of(subject)
    assert standing is not None
    repair = case.repair
    if case.state.cured:
        head = f"Cured: {fault.plain}."
    elif repair is not None and repair.outcome is None:
        head = f"Repaired, cure not proven yet: {fault.plain}."
    else:
        word = f", {standing.standing}" if standing.standing in ("likely", "shown") else ""
        lead = "It points to" if standing.probability >= _POINTS else "Not settled; the likeliest so far"
        head = f"{lead}: {fault.plain} ({phrasing.chance(standing.probability)}{word})."
    blocks: list[Block] = [Text(head, "lead"), Text(fault.what)]
    rivals = [s for s in at.ranking.standings if s.fault != subject and s.probability >= _SUSPECT][:3]
    if rivals and not case.state.cured:
        others = "; ".join(f"{book.faults[s.fault].plain} ({phrasing.chance(s.probability)})" for s in rivals)
        blocks.append(Text(f"After that: {others}. Something not in the files: {phrasing.chance(at.ranking.unlisted)}."))
    step = next_step(case)
    if step:
        blocks.append(Text(f"Next: {step}"))
    return Section("In short", tuple(blocks))


def next_step(case: "Case") -> str:
    """The next step in one sentence; empty after a cure."""
    best = case.thinking.plan.best
    if case.state.cured or best is None:
        return ""
    if best.kind == "workshop" or case.state.stopped:
        return "hand it over; from here a workshop is quicker and safer."
    if best.kind == "question" and case.book.facts[best.id].ask:
        return f"find out: {case.book.facts[best.id].ask}"
    name = case.book.faults[best.id].repair.do if best.kind == "repair" else case.book.plain(best.id)
    return f"{lower(name).rstrip('.')} ({phrasing.minutes(best.minutes)})."


def ranking(case: "Case") -> Section | None:
    """The ranking as it stands and the way it came there."""
    at, book = case.concluded, case.book
    rows = [(capital(book.faults[s.fault].plain), book.needs[book.faults[s.fault].need].plain if book.faults[s.fault].need in book.needs else book.faults[s.fault].need,
             share(s.probability), s.standing.replace("-", " ")) for s in at.ranking.standings[:_SUSPECTS] if s.probability >= 0.005]
    rest = 1 - sum(s.probability for s in at.ranking.standings[: len(rows)]) - at.ranking.unlisted
    rows.append(("All other faults together", "", share(max(rest, 0.0)), ""))
    rows.append(("Something not in the files", "", share(at.ranking.unlisted), ""))
    title = "Ranking before the repair" if at is not case.moments[-1] else "Ranking"
    blocks: list[Block] = [Table(("Fault", "Need", "Chance", "Standing"), tuple(rows), (2,))]
    if rows and case.subject is not None:
        spread = sureness(book, at.facts, case.subject, lambda checks: without(case.mind, at.state, checks))
        if spread.spoilt:
            blocks.append(Text(f"Allowing every test its known rate of slips, {book.faults[case.subject].plain} comes to {share(spread.mean)}, "
                               f"from {spread.low * 100:.1f} to {share(spread.high)} in nine of ten.", "small"))
    lines = movement(case)
    if len(case.moments) > 1 and lines:
        blocks.append(chart(case, lines))
    return Section(title, tuple(blocks))


def account_of(case: "Case") -> Account | None:
    """The account of the sheet's fault at the moment the conclusion rests on."""
    if case.subject is None:
        return None
    at = case.concluded
    failed = {r.fault for r in at.state.repairs if r.outcome == "no-change"}
    return account(case.book, at.ranking, at.firings, case.subject, at.known, tried_decibans(case.book, case.subject, failed))


def rules(case: "Case") -> Section | None:
    """The rules that carried the conclusion, in the order in which they fired, and the sum."""
    made, book = account_of(case), case.book
    if made is None:
        return None
    cited = list(dict.fromkeys(s for r in made.counted for s in r.source))
    rows = []
    for reason in made.counted:
        words = all_words(book, reason, False)
        turned = "The opposite was said: " if reason.denial else ""
        marks = ", ".join(_letter(cited.index(s)) for s in reason.source)
        place = f"{reason.rule}, {reason.file}:{reason.line}{f' ({marks})' if marks else ''}"
        rows.append((str(reason.turn + 1) if reason.turn >= 0 else "start", f"{turned}{reason.says}\n{place}", capital(words),
                     f"{phrasing.number(reason.seen)} / {phrasing.number(reason.otherwise)}{_times(reason.emphasis)}", signed(reason.decibans)))
    fault = book.faults[made.fault]
    blocks: list[Block] = [Text(f"For {fault.plain}. To begin with it is behind {per_1000(made.prior)} of 1000 no-starts of such a machine ({fault.file}:{fault.line}). "
                                "Of 100: how many with this fault show it, and how many others. dB: 10 is ten times as likely, 3 is twice; a minus speaks against it. x: what was told unasked counts that many times.")]
    blocks.append(Table(("Message", "Rule", "On whose words", "Of 100", "dB"), tuple(rows), (0, 3, 4)) if rows else Text("No rule speaks of it yet."))
    blocks.append(Text("Sum: " + whole_sum(made, [r.decibans for r in made.counted], 0.0), "small"))
    if made.covered:
        blocks.append(Text("Not counted twice: " + "; ".join(f"{r.rule} ({signed(r.decibans)}, covered by {r.covered_by})" for r in made.covered) + ".", "small"))
    if cited:
        blocks.append(Text("Sources: " + "; ".join(f"({_letter(i)}) {sources(book, (s,))}" for i, s in enumerate(cited)) + ".", "small"))
    return Section("Rules that carried it", tuple(blocks))


def _times(emphasis: float) -> str:
    return f" x {phrasing.number(emphasis)}" if emphasis > 1.005 else ""


def _letter(index: int) -> str:
    return chr(97 + index) if index < 26 else str(index)


def repair(case: "Case") -> Section | None:
    """Repairs done, and the one proposed when the evidence is enough for it."""
    book = case.book
    rows = tuple((capital(book.faults[r.fault].plain), book.faults[r.fault].repair.do, _OUTCOMES.get(r.outcome, r.outcome or ""), str(r.turn + 1))
                 for r in case.state.repairs if r.fault in book.faults)
    blocks: list[Block] = [Table(("Fault", "Repair", "Outcome", "Message"), rows, (3,))] if rows else []
    proposed = case.subject if not case.state.cured and (case.repair is None or case.repair.outcome == "no-change") else None
    if proposed is not None:
        standing = case.concluded.ranking.of(proposed)
        if standing is not None and (standing.standing in ("likely", "shown") or standing.probability >= _POINTS):
            entry = book.faults[proposed].repair
            blocks.append(Text(f"Proposed, for {book.faults[proposed].plain}: {entry.do}"))
            blocks.append(Text(f"By {_WHO[entry.who]}; {phrasing.minutes(entry.minutes)} and the way in; {_PARTS[entry.parts_class]}; "
                               f"cures {phrasing.number(entry.cures)} of 100 machines that really have this fault."))
            if entry.steps:
                blocks.append(Items(tuple(entry.steps), "numbered"))
    return Section("Repair", tuple(blocks) or (Text("None done, and nothing stands out enough to propose one."),))


def proof(case: "Case") -> Section | None:
    """What proves the cure, and whether it was reported."""
    if case.subject is None:
        return None
    fault = case.book.faults[case.subject]
    if case.state.cured:
        said = next((m for m in case.moments if m.state.cured and m.turn >= 0), None)
        words = f" Reported in message {said.turn + 1}: \"{said.text.strip()[:200]}\"." if said is not None else ""
        blocks: list[Block] = [Text(f"Proven: {fault.proof.do}{words}")]
    else:
        about = "Not proven yet." if case.repair is not None and case.repair.outcome is None else f"No cure yet. For {fault.plain}, this is how to tell."
        blocks = [Text(f"{about} It counts as cured when this has been seen:"), Items((fault.proof.do,), "box")]
    if fault.keep_away:
        blocks.append(Text(f"So that it does not come back: {fault.keep_away}"))
    still = [case.book.access[s].plain for s in sorted(case.state.opened) if s in case.book.access and case.book.access[s].close]
    if still:
        blocks.append(Text(f"Still open on the machine: {', '.join(still)}."))
    return Section("Proof of cure", tuple(blocks))


def untested(case: "Case") -> Section | None:
    """Direct tests that were not done (where there is none, one of which it is the first explanation), needs that nobody looked at, what was passed over or held back."""
    book, thinking, rows = case.book, case.thinking, []
    suspects = [] if case.state.cured else [s for s in thinking.ranking.standings[:_SUSPECTS] if s.probability >= _SUSPECT]
    for standing in suspects:
        names = [lower(book.plain(topic)) for topic in _open_tests(case, standing.fault)[:2]]
        if names:
            rows.append(f"For {book.faults[standing.fault].plain} ({phrasing.chance(standing.probability)}): {'; or '.join(names)}.")
    looked = {book.checks[f.topic].need for f in case.facts if f.topic in book.checks}
    unseen = [n.plain for n in sorted(book.needs.values(), key=lambda n: (n.order, n.id)) if n.id not in looked and any(c.need == n.id for c in book.checks.values())]
    if unseen:
        rows.append(f"No check at all on: {', '.join(unseen)}.")
    passed = [lower(book.plain(t)) for t in sorted(case.state.passed)]
    if passed:
        rows.append(f"Passed over, or not known: {'; '.join(passed)}.")
    if case.state.cannot_open:
        rows.append(f"Could not be reached: {', '.join(book.plain(a) for a in sorted(case.state.cannot_open))}.")
    return Section("Not tested", (Items(tuple(rows)),)) if rows else None


def _open_tests(case: "Case", fault: str) -> list[str]:
    """Checks that nobody did and that would test this fault: those that settle it, else those of which it is the first explanation."""
    book, thinking = case.book, case.thinking
    told = {f.topic for f in thinking.known}
    rows = [m for m in missing(book, fault, thinking.known, thinking.lacking) if m.topic in book.checks]
    settling = [c.id for c in book.checks.values() if fault in c.settles and c.id not in told and thinking.lacking.isdisjoint(c.parts)]
    direct = list(dict.fromkeys([*(m.topic for m in rows if m.direct), *settling]))
    return direct or [m.topic for m in rows if m.seen >= max(book.rules[book.single[m.topic][m.value]].seen_in.values())][:1]


def cautions(case: "Case") -> Section | None:
    """Hazards of what comes next and of this very machine, and what is held back until when."""
    if case.state.cured:
        return None
    book, thinking, hazards = case.book, case.thinking, set()
    best = thinking.plan.best
    if best is not None and best.id in book.checks:
        hazards |= set(all_hazards(book, book.checks[best.id].hazards, book.checks[best.id].access))
    if case.subject is not None:
        entry = book.faults[case.subject].repair
        hazards |= set(all_hazards(book, entry.hazards, entry.access))
    said = [c for f in thinking.firings if f.kind == "caution" for c in book.rules[f.rule].cautions]
    items = [text for _, text in cards.cautions(book, sorted(hazards), said)]
    items += [f"Held back: {text}" for _, text in cards.block_lines(book, thinking)]
    return Section("Cautions", (Items(tuple(dict.fromkeys(items)), "caution"),)) if items else None


def no_longer(case: "Case") -> Section | None:
    """What was told and does not count any more."""
    rows = tuple((str(n.turn + 1), phrasing.item_words(case.book, n.item), reason) for n, reason in dropped(case))
    return Section("Told, but no longer counted", (Table(("Message", "What", "Why not"), rows, (0,)),)) if rows else None
