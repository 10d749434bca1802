"""What the YAML parser stumbled over, in words for somebody who edits knowledge files."""

from __future__ import annotations

import re

import yaml

_SPECIAL = "@`%*&!|>{}[]"
_MERGE = ("<<<<<<< ", "=======", ">>>>>>> ")  # what a merge of two versions leaves where it could not decide


_NAMES, _CLOSE = {"[": "bracket", "{": "brace"}, {"[": "]", "{": "}"}
_WORD = re.compile(r"[A-Za-z0-9_-]+")


def worded(error: yaml.MarkedYAMLError, text: str) -> tuple[int, int, str, str]:
    """(line, column, what is wrong, the mend) of a parser's error; `text` is what it read. Lines and columns from 1."""
    left = _left_by_a_merge(text)
    if left is not None:
        return left
    here, opened = error.problem_mark or error.context_mark, error.context_mark
    problem, context = error.problem or "", error.context or ""
    if "unexpected end of stream" in problem and "quoted" in context or problem.startswith("could not find expected ':'"):
        here = opened or here
    lines = text.splitlines() or [""]
    line, column = (here.line, here.column) if here else (0, 0)
    row = lines[line] if line < len(lines) else ""
    inside = _never_closed(text) if line >= len(lines) else None
    if inside is not None:
        mark, place = inside
        return place.line + 1, place.column + 1, f"The {_NAMES[mark]} '{mark}' opened here is never closed.", f"close it with '{_CLOSE[mark]}'."
    above = next((n for n in range(line - 1, -1, -1) if lines[n].strip() and not lines[n].lstrip().startswith("#")), None)
    if "mapping values are not allowed" in problem and above is not None and _lacks_its_colon(lines[above], row):
        return above + 1, len(lines[above].rstrip()) + 1, f"No colon follows this: '{lines[above].strip()[:50]}'.", "put a colon after the key."
    what, mend = _words(problem, context, row, column, opened.line + 1 if opened else 1)
    return line + 1, column + 1, what, mend


def _left_by_a_merge(text: str) -> tuple[int, int, str, str] | None:
    """The first line that a merge left, where there are such lines."""
    if _MERGE[0] not in text and _MERGE[2] not in text:
        return None
    for number, row in enumerate(text.splitlines(), start=1):
        if row.startswith((_MERGE[0], _MERGE[2])):
            return number, 1, f"This line is left from a merge of two versions: '{row[:20].strip()}'.", "keep one of the two versions, and take the marked lines out."
    return None


def _never_closed(text: str) -> tuple[str, yaml.Mark] | None:
    """The innermost bracket or brace that is still open where the text ends."""
    stack: list[tuple[str, yaml.Mark]] = []
    try:
        for token in yaml.scan(text, Loader=yaml.SafeLoader):
            if isinstance(token, (yaml.FlowSequenceStartToken, yaml.FlowMappingStartToken)):
                stack.append(("[" if isinstance(token, yaml.FlowSequenceStartToken) else "{", token.start_mark))
            elif isinstance(token, (yaml.FlowSequenceEndToken, yaml.FlowMappingEndToken)) and stack:
                stack.pop()
    except yaml.YAMLError:
        pass
    return stack[-1] if stack else None


def _lacks_its_colon(above: str, row: str) -> bool:
    """Whether the line above is one bare word and this one stands deeper, as the first entry of a key does."""
    indent = len(above) - len(above.lstrip())
    return bool(_WORD.fullmatch(above.strip())) and len(row) - len(row.lstrip()) > indent


def _words(problem: str, context: str, row: str, column: int, opened: int) -> tuple[str, str]:
    char = row[column : column + 1]
    if "\t" in (char, row[:1]) and ("cannot start" in problem or "tab" in problem):
        return "A tab stands here; lines are indented with spaces.", "put spaces in its place."
    if "mapping values are not allowed" in problem:
        return (f"A second colon stands in this line, or the line is indented too far: '{row.strip()[:50]}'.",
                "quote the text after the first colon, or line it up with its neighbours.")
    if "cannot start any token" in problem or "alphabetic or numeric" in problem or "directive" in problem or "node content" in problem:
        special = char if char in _SPECIAL and char else row[max(column - 1, 0) : column] or char
        return f"A plain text cannot start with '{special}'.", "put the text in double quotes."
    if "quoted" in context and "end of stream" in problem:
        return "A quotation mark is opened here and never closed.", "close it, or quote the whole text."
    if "escape character" in problem:
        return "A backslash inside double quotes stands for something special.", "use single quotes, or write the backslash twice."
    if "'-' indicator" in problem:
        return f"A list starts at line {opened}, and this line at its indentation does not start with '- '.", "start it with '- ', or indent it as the key it belongs to."
    if "',' or ']'" in problem:
        return f"The bracket '[' opened at line {opened} is not closed before this point.", "close it with ']', or put a comma between the items."
    if "',' or '}'" in problem:
        return f"The brace '{{' opened at line {opened} is not closed before this point.", "close it with '}', or put a comma between the entries."
    if "expected ':'" in problem:
        return f"No colon follows this: '{row.strip()[:50]}'.", "put a colon after the key, or indent the line as part of the text above."
    if "expected key" in problem:
        return ("Text stands here where a new key is expected." if row[:column].strip()
                else f"This line's indentation fits none of the mappings above it (the innermost starts at line {opened})."), \
            "line it up with its neighbours, and quote a text that goes on after a closing quotation mark."
    if "another document" in problem:
        return "A line of three hyphens starts a second document here; a knowledge file holds one.", "remove the line, or split the file."
    if "duplicate anchor" in context:
        return "An anchor ('&name') stands here for the second time; knowledge files do not use them.", "write the value out."
    return "The text does not read as YAML here.", "check the indentation, a missing colon, or quote a text with special characters."
