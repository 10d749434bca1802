"""What the YAML parser stumbled over, in words for somebody who edits knowledge files."""

from __future__ import annotations

import yaml

_SPECIAL = "@`%*&!|>{}[]"


def worded(error: yaml.MarkedYAMLError, text: str) -> tuple[int, int, str, str]:
    """(line, column, what is wrong, the mend) of a parser's error; `text` is what it read. Lines and columns from 1."""
    here, opened = error.problem_mark or error.context_mark, error.context_mark
    problem, context = error.problem or "", error.context or ""
    if "unexpected end of stream" in problem and "quoted" in context or problem.startswith("could not find expected ':'"):
        here = opened or here
    lines = text.splitlines() or [""]
    line, column = (here.line, here.column) if here else (0, 0)
    row = lines[line] if line < len(lines) else ""
    what, mend = _words(problem, context, row, column, opened.line + 1 if opened else 1)
    return line + 1, column + 1, what, mend


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
