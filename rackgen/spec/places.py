"""On which line of a TOML text each key stands, which `tomllib` does not tell."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from rackgen.errors import RackgenError
from rackgen.spec import limits

Path = tuple[str | int, ...]
"""Keys and list indexes from the top of a file to a value."""

# A long text that is not closed reaches to the end of the file, or each of its quotes would be tried as a start.
_TOKEN = re.compile(
    r'''
    (?P<long>"""(?:\\.|[^\\])*?(?:"{3,5}|\\?\Z)|\'\'\'.*?(?:\'{3,5}|\Z))
    |(?P<quoted>"(?:\\.|[^"\\\n])*"|'[^'\n]*')
    |(?P<comment>\#[^\n]*)
    |(?P<newline>\n)
    |(?P<mark>[\[\]{}=,.])
    |(?P<word>[^\s\[\]{}=,.\#"']+)
    |(?P<blank>[^\S\n]+)
    |(?P<stray>.)
    ''',
    re.VERBOSE | re.DOTALL,
)


class TooDeepError(RackgenError):
    """Tables or lists are nested beyond `limits.DEPTH`; carries the line."""

    def __init__(self, line: int) -> None:
        super().__init__(f"nested too deep in line {line}")
        self.line = line


class _Token(NamedTuple):
    kind: str
    text: str
    line: int


@dataclass
class _Walk:
    """One pass over the tokens; what it has found so far."""

    tokens: list[_Token]
    at: int = 0
    found: dict[Path, int] = field(default_factory=lambda: {(): 1})
    counts: dict[Path, int] = field(default_factory=dict[Path, int])

    def peek(self) -> _Token | None:
        return self.tokens[self.at] if self.at < len(self.tokens) else None

    def is_next(self, *marks: str) -> bool:
        if self.at >= len(self.tokens):
            return False
        kind, text, _ = self.tokens[self.at]
        return kind in ("mark", "newline") and text in marks

    def skip(self, *marks: str) -> None:
        while self.is_next(*marks):
            self.at += 1


def places(text: str) -> dict[Path, int]:
    """Return the 1-based line of every key, table and list entry of a TOML text.

    On a text that `tomllib` refuses it returns what it made of it: the caller asks `tomllib` next.

    Raises:
        TooDeepError: nested beyond `limits.DEPTH`, on which `tomllib` would spend minutes or its stack.
    """
    walk = _Walk(list(_tokens(text)))
    table: Path = ()
    while (token := walk.peek()) is not None:
        if walk.is_next("\n", "]", "}", ",", "."):
            walk.at += 1
        elif walk.is_next("["):
            table = _header(walk, token.line)
        else:
            _pair(walk, table)
    return walk.found


def _tokens(text: str) -> Iterator[_Token]:
    """Yield the tokens but blanks and comments, which hold no line ends."""
    line = 1
    for match in _TOKEN.finditer(text):
        kind = match.lastgroup or "stray"
        if kind == "blank" or kind == "comment":
            continue
        found = match.group()
        yield _Token(kind, found, line)
        if kind == "newline":
            line += 1
        elif kind in ("long", "quoted"):
            line += found.count("\n")


def _key(walk: _Walk, line: int) -> tuple[str, ...]:
    """Return a dotted key, as far as it looks like one."""
    parts: list[str] = []
    while (token := walk.peek()) is not None and token.kind in ("word", "quoted", "mark"):
        if token.kind != "mark":
            parts.append(_unquoted(token))
        elif token.text != ".":
            break
        if len(parts) > limits.DEPTH:
            raise TooDeepError(line)
        walk.at += 1
    return tuple(parts)


def _unquoted(token: _Token) -> str:
    if token.kind == "word":
        return token.text
    if "\\" not in token.text:
        return token.text[1:-1]
    # Escapes in a key are rare enough to leave them to the reader that knows them all.
    try:
        return str(tomllib.loads(f"key = {token.text}")["key"])
    except tomllib.TOMLDecodeError:
        return token.text[1:-1]


def _header(walk: _Walk, line: int) -> Path:
    """Return the path of the table that a `[header]` or `[[header]]` opens."""
    walk.at += 1
    many = walk.is_next("[")
    walk.at += many
    path: Path = ()
    keys = _key(walk, line)
    for place, key in enumerate(keys):
        path = (*path, key)
        walk.found.setdefault(path, line)
        if many and place == len(keys) - 1:
            walk.counts[path] = walk.counts.get(path, -1) + 1
        if path in walk.counts:
            path = (*path, walk.counts[path])
    walk.found[path] = line
    walk.skip("]")
    return path


def _pair(walk: _Walk, table: Path) -> None:
    """Walk over `key = value`."""
    token = walk.tokens[walk.at]
    keys = _key(walk, token.line)
    if not keys:
        walk.at += 1
    path = table
    for key in keys:
        path = (*path, key)
        walk.found.setdefault(path, token.line)
    walk.skip("=")
    _value(walk, path, 0)


def _value(walk: _Walk, path: Path, depth: int) -> None:
    """Walk over a value up to the comma, bracket or line end behind it."""
    while (token := walk.peek()) is not None and not walk.is_next("\n", ",", "]", "}"):
        if walk.is_next("[", "{"):
            if depth >= limits.DEPTH:
                raise TooDeepError(token.line)
            walk.at += 1
            _inside(walk, path, depth + 1, close="]" if token.text == "[" else "}")
        else:
            walk.at += 1


def _inside(walk: _Walk, path: Path, depth: int, *, close: str) -> None:
    index = 0
    walk.skip("\n")
    while (token := walk.peek()) is not None and not walk.is_next(close):
        before = walk.at
        if close == "]":
            walk.found.setdefault((*path, index), token.line)
            _value(walk, (*path, index), depth)
            index += 1
        else:
            inner = path
            for key in _key(walk, token.line):
                inner = (*inner, key)
                walk.found.setdefault(inner, token.line)
            walk.skip("=")
            _value(walk, inner, depth)
        walk.skip("\n", ",")
        if walk.at == before:
            break
    # One bracket only: the next one closes what is around this.
    walk.at += walk.is_next(close)
