"""Text made safe for a terminal, and wrapped by the columns it takes there."""

from __future__ import annotations

from functools import lru_cache

from assistant.harmless import one_line as safe

_PLAIN = str.maketrans({"‘": "'", "’": "'", "“": '"', "”": '"', "–": "-", "—": "-", "…": "...", "°": " deg ", "Ω": "ohm", "µ": "u", "×": "x",
                        "±": "+/-", "≥": ">=", "≤": "<=", "→": "->", "½": "1/2", "·": "|", "\u00a0": " "})


def for_encoding(text: str, encoding: str) -> str:
    """The text in characters that the encoding can show; near equivalents first, then a question mark."""
    try:
        text.encode(encoding)
        return text
    except (UnicodeEncodeError, LookupError):
        return text.translate(_PLAIN).encode(encoding if _known(encoding) else "ascii", "replace").decode(encoding if _known(encoding) else "ascii")


def can_show(characters: str, encoding: str) -> bool:
    """Whether the encoding has these characters."""
    try:
        characters.encode(encoding)
        return True
    except (UnicodeEncodeError, LookupError):
        return False


@lru_cache(maxsize=16)
def _known(encoding: str) -> bool:
    import codecs

    try:
        codecs.lookup(encoding)
        return True
    except LookupError:
        return False


def width(text: str) -> int:
    """Columns that the text takes: wide characters two, combining ones none."""
    if text.isascii():
        return len(text)
    from wcwidth import wcwidth  # comes with prompt_toolkit

    return sum(max(wcwidth(c), 0) for c in text)


def wrap(text: str, columns: int) -> list[str]:
    """The text in lines of at most `columns` columns, broken at spaces; only a word longer than a line is broken inside."""
    columns = max(columns, 2)
    lines: list[str] = []
    line, used = "", 0
    for word in text.split():
        size = width(word)
        if line and used + 1 + size <= columns:
            line, used = f"{line} {word}", used + 1 + size
            continue
        if line:
            lines.append(line)
        *full, word = _pieces(word, columns) if size > columns else [word]
        lines += full
        line, used = word, width(word)
    if line or not lines:
        lines.append(line)
    return lines


def _pieces(word: str, columns: int) -> list[str]:
    pieces, piece, used = [], "", 0
    for character in word:
        size = width(character)
        if piece and used + size > columns:
            pieces.append(piece)
            piece, used = "", 0
        piece, used = piece + character, used + size
    return [*pieces, piece]


def shorten(text: str, columns: int) -> str:
    """The text on one line of at most `columns` columns, with dots where it was cut."""
    if width(text) <= columns:
        return text
    kept = ""
    for character in text:
        if width(kept) + width(character) > max(columns - 3, 0):
            break
        kept += character
    return (kept.rstrip() + "...")[: max(columns, 0)]


__all__ = ["can_show", "for_encoding", "safe", "shorten", "width", "wrap"]
