"""Every code a complaint of the loader can carry, with one sentence on what it means. A code stays for good.

A new one in CONTENT needs its pair of files in tests/rulebook/broken: a file with just that mistake, and the complete message.
"""

from __future__ import annotations

FOLDER = {
    "folder-missing": "The folder named as the knowledge folder is not there, or is no folder.",
    "folder-unreadable": "A folder may not be looked into.",
    "folder-empty": "The folder holds no file that is read.",
    "folder-too-large": "The folder holds more files than knowledge ever needs; most likely it is the wrong one.",
    "outside-folder": "A link leads out of the folder; only what lies inside it is read.",
    "file-not-read": "A file that looks meant is not read because of its name.",
    "file-unreadable": "A file cannot be opened, or is no ordinary file.",
    "file-too-large": "A file is larger, or holds more values, than any knowledge file needs to.",
    "too-many-complaints": "A file has so many mistakes that the rest of them are not listed.",
}

CONTENT = {
    "not-text": "A file holds bytes that are not UTF-8 text.",
    "file-empty": "A file holds nothing, or nothing but comments.",
    "control-character": "A line holds a character that cannot be seen and does not belong in text.",
    "text-too-long": "A text or key is longer than anything that is said to a person.",
    "too-deep": "Values are nested deeper than any entry needs.",
    "yaml-syntax": "The text does not read as YAML.",
    "alias-used": "A value is borrowed from elsewhere by '*name'; every value is written out.",
    "tag-used": "A value carries a tag ('!name'); knowledge files hold plain data.",
    "key-not-a-word": "A key is a list or a mapping.",
    "duplicate-key": "A mapping holds one key twice.",
    "file-shape": "A file is not a mapping of kinds to entries.",
    "unknown-kind": "A top-level key is not a kind of entry.",
    "id-shape": "An id is not lower-case words joined by hyphens.",
    "entry-shape": "An entry does not hold what its kind holds.",
    "duplicate-id": "Two entries have one id.",
    "unknown-key": "An entry has a key that its kind does not know.",
    "missing-key": "An entry lacks a key that it needs.",
    "unknown-word": "A word stands where only one of a few may stand.",
    "number-out-of-range": "A number lies outside what it can mean.",
    "not-a-number": "A number belongs here.",
    "not-yes-or-no": "Yes or no belongs here.",
    "not-a-text": "Words belong here.",
    "wrong-shape": "A list, a mapping or a pair of numbers belongs here.",
    "condition-shape": "A 'when' is not a mapping of topics to values.",
    "too-many-alternatives": "A condition branches more than a person could check.",
    "unknown-topic": "A condition, phrase or list names a topic that is neither a fact nor a check.",
    "unknown-value": "A topic has no such value.",
    "not-a-number-topic": "A range is asked of a topic that is told in words.",
    "unknown-access": "There is no such access state.",
    "unknown-caution": "There is no such caution.",
    "unknown-check": "There is no such check.",
    "unknown-fact": "There is no such fact.",
    "unknown-fault": "There is no such fault.",
    "unknown-limit": "There is no such limit.",
    "unknown-need": "There is no such need.",
    "unknown-part": "There is no such part.",
    "unknown-rule": "There is no such rule.",
    "unknown-source": "There is no such source.",
    "unknown-tool": "There is no such tool.",
    "unknown-computation": "A limit names a computation that does not exist, or gives it an argument it does not take.",
    "access-not-a-tree": "Access states lie within one another round in a circle.",
    "fact-without-values": "A fact has neither values nor a unit, or has both.",
    "range-upside-down": "A range ends below its start.",
    "bands-out-of-order": "The bands of a reading do not run from low to high, or leave a gap.",
    "prior-only-sometimes": "A fault is common only under conditions, and absent where none of them holds.",
    "key-out-of-place": "A key has no meaning in a rule of this kind.",
    "show-one-fault": "A show rule lists more than the one fault it shows.",
    "rules-feed-themselves": "Derive rules wait for what they conclude themselves.",
    "replaces-in-a-circle": "Two rules replace each other, or a rule itself, so that none counts.",
    "value-has-two-rules": "Two rules weigh one and the same value.",
    "frequencies-over-100": "The numbers over the values of a topic come to more than 100 of 100 machines.",
}

CODES = {**FOLDER, **CONTENT}
WARNINGS = frozenset({"file-not-read", "unknown-computation", "prior-only-sometimes"})  # all the others are errors
