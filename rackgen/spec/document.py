"""One preset file as it stands on the disk: opened, decoded, parsed, with the line of every key."""

from __future__ import annotations

import datetime
import difflib
import errno
import math
import re
import stat
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, cast

from rackgen.errors import BadInput, Mistake
from rackgen.spec import limits, places
from rackgen.spec.places import Path as KeyPath

_SHOWN = 60
"""Characters of a value that a message repeats."""


@dataclass(frozen=True)
class Document:
    """A parsed preset file.

    Attributes:
        file: as the user named it.
        path: where it stands.
        data: what TOML says is in it.
        lines: line of every key, table and list entry.
        endless: numbers that are not finite, each a mistake; in `data` their text stands in their place.
    """

    file: str
    path: Path
    data: Mapping[str, object]
    lines: Mapping[KeyPath, int] = field(repr=False)
    endless: tuple[Mistake, ...] = ()

    def mistake(self, key: KeyPath, wanted: str, read: str = "") -> Mistake:
        """Return a mistake at a key, or at the nearest table around it that stands in the file."""
        known = key
        while known not in self.lines:
            known = known[:-1]
        # The top of the file has no line of its own.
        return Mistake(self.file, written_key(key), self.lines[known] if known else 0, read, wanted)

    def get(self, key: KeyPath) -> object:
        """Return the value at a key path, or None."""
        value: object = self.data
        for step in key:
            if isinstance(value, dict) and isinstance(step, str):
                value = cast("Mapping[str, object]", value).get(step)
            elif isinstance(value, list) and isinstance(step, int) and step < len(cast("list[object]", value)):
                value = cast("list[object]", value)[step]
            else:
                return None
        return value

    def tables(self, *keys: str) -> Iterator[tuple[KeyPath, Mapping[str, object]]]:
        """Return the tables of a list, each with its path; whatever else stands in the list is left out."""
        entries = self.get(keys)
        if isinstance(entries, list):
            for place, entry in enumerate(cast("list[object]", entries)):
                if isinstance(entry, dict):
                    yield (*keys, place), cast("dict[str, object]", entry)


def open_document(path: Path, file: str, *, endless: bool = False) -> Document:
    """Return a preset file, parsed.

    Args:
        path: where it stands.
        file: the file as the user named it, for messages.
        endless: whether numbers that are not finite are told by the document, with whatever else is wrong in it.

    Raises:
        BadInput: it cannot be opened, is too large, is not UTF-8 or is not TOML; or texts in it are too long,
            numbers not finite.
    """
    text = open_text(path, file)
    try:
        lines = places.places(text)
        data = tomllib.loads(text)
    except places.TooDeepError as error:
        raise _one(file, f"nest no deeper than {limits.DEPTH}", line=error.line) from None
    except tomllib.TOMLDecodeError as error:
        raise _one(file, *_syntax(str(error), text)) from None
    except ValueError:
        # tomllib lets Python's own refusal of an integer of thousands of digits through.
        raise _one(file, "a number in it has thousands of digits; write numbers that a tape can show") from None
    document = Document(file, path, data, lines)
    wrong = list(_out_of_bounds(document))
    found = [(key, value) for key, value in _values(data) if isinstance(value, float) and not math.isfinite(value)]
    told = tuple(document.mistake(key, "write a finite number", written(value)) for key, value in found)
    if wrong or (told and not endless):
        raise BadInput([*wrong, *told])
    return replace(document, data=_in_words(data), endless=told) if told else document


def open_text(path: Path, file: str) -> str:
    """Return a small file of text, decoded.

    Args:
        path: where it stands.
        file: the file as the user named it, for messages.

    Raises:
        BadInput: it cannot be opened, is too large or is not UTF-8.
    """
    return _decoded(_content(path, file), file)


def content_of(path: Path, file: str) -> bytes:
    """Return what stands in a small file.

    Args:
        path: where it stands.
        file: the file as the user named it, for messages.

    Raises:
        BadInput: it cannot be opened, or is too large.
    """
    return _content(path, file)


def _one(file: str, wanted: str, read: str = "", line: int = 0) -> BadInput:
    return BadInput([Mistake(file, "", line, read, wanted)])


def _content(path: Path, file: str) -> bytes:
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise _one(file, "name a preset file inside it", "a folder")
        if not stat.S_ISREG(mode):
            raise _one(file, "name an ordinary file", "a device or a pipe")
        with path.open("rb") as stream:
            content = stream.read(limits.FILE_BYTES + 1)
    except FileNotFoundError:
        raise _one(file, "there is no such file") from None
    except PermissionError:
        raise _one(file, "the file may not be read by you; change its permissions") from None
    except OSError as error:
        if error.errno == errno.ELOOP:
            raise _one(file, "a chain of links that ends nowhere; name the file itself") from None
        raise _one(file, f"the file cannot be opened ({(error.strerror or 'unknown').lower()})") from None
    except ValueError:
        raise _one(file, "that cannot be the name of a file") from None
    if len(content) > limits.FILE_BYTES:
        raise _one(file, f"at most {limits.FILE_BYTES:,} bytes are read", "a larger file")
    return content


def _decoded(content: bytes, file: str) -> str:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _one(file, "save the file as UTF-8", "UTF-16", line=1)
    try:
        # A byte order mark, which some editors put before UTF-8, carries no meaning and is dropped.
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        # Pictures, drawings and archives hold zero bytes; text in another encoding hardly ever does.
        wanted = "this is no text; a preset is a TOML file" if b"\0" in content else "save the file as UTF-8"
        raise _one(file, wanted, f"the byte 0x{content[error.start]:02x}", line) from None


_TWICE_KEY = "this key stands here a second time; keep one"
_TWICE_TABLE = "this table stands here a second time; keep one, or write [[...]] for each of several"


def _syntax(message: str, text: str) -> tuple[str, str, int]:
    """Return what would be right, what was read and the line, from what `tomllib` says."""
    match = re.search(r"^(.*?) \(at (?:line (\d+), column (\d+)|end of document)\)$", message, re.DOTALL)
    said = match.group(1) if match else message
    said = said[:1].lower() + said[1:]
    lines = text.split("\n")
    if match is None or match.group(2) is None:
        return f"not TOML: {said} when the file ended; something further up is not closed", "", len(lines)
    line, column = int(match.group(2)), int(match.group(3))
    row = lines[line - 1].rstrip("\r")
    if re.search(r"^cannot (?:overwrite|declare|mutate)", said):
        return _TWICE_TABLE if row.lstrip().startswith("[") else _TWICE_KEY, row.strip()[:_SHOWN], line
    if "\r" in row:
        said += "; end lines with LF or CR LF, not CR alone"
    elif re.search(r"[‘’“”]", row):
        said += "; use straight quotes around a text"
    elif re.search(r"=\s*[^\"'\s\[{]", row) and re.search(r"^(?:invalid value|expected newline)", said):
        said += "; a text, and a length with its unit, stands in quotes"
    read = row[max(0, column - _SHOWN // 2) : column + _SHOWN // 2].strip()
    return f"not TOML at column {column}: {said}", read, line


def _out_of_bounds(document: Document) -> Iterator[Mistake]:
    """Return what no preset may hold anywhere: long texts, keys and lists."""
    for key, value in _values(document.data):
        if isinstance(value, dict):
            for name in cast("dict[str, object]", value):
                if len(name) > limits.TEXT:
                    yield document.mistake((*key, name), f"a key has at most {limits.TEXT} characters")
        elif isinstance(value, list):
            count = len(cast("list[object]", value))
            if count > limits.PARTS:
                yield document.mistake(key, f"at most {limits.PARTS:,} entries", f"{count:,} entries")
        elif isinstance(value, str) and len(value) > limits.TEXT:
            yield document.mistake(key, f"a text has at most {limits.TEXT} characters", written(value))


def _values(data: Mapping[str, object]) -> Iterator[tuple[KeyPath, object]]:
    """Yield every value with its key; nothing within long lists and under long keys."""
    todo: list[tuple[KeyPath, object]] = [((), data)]
    while todo:
        key, value = todo.pop()
        yield key, value
        if isinstance(value, dict):
            named = cast("dict[str, object]", value)
            todo.extend(((*key, name), inner) for name, inner in named.items() if len(name) <= limits.TEXT)
        elif isinstance(value, list):
            entries = cast("list[object]", value)
            if len(entries) <= limits.PARTS:
                todo.extend(((*key, place), inner) for place, inner in enumerate(entries))


def _in_words(value: Any) -> Any:
    """Return a value with the text of every number that is not finite in its place."""
    match value:
        case dict():
            return {name: _in_words(inner) for name, inner in cast("dict[str, Any]", value).items()}
        case list():
            return [_in_words(inner) for inner in cast("list[Any]", value)]
        case float() if not math.isfinite(value):
            return written(value)
        case _:
            return value


def written(value: object) -> str:
    """Return a value as it stands in TOML, cut short where it is long; tables and lists by what they are."""
    match value:
        case bool():
            return str(value).lower()
        case str():
            short = value if len(value) <= _SHOWN else value[: _SHOWN - 3] + "..."
            return '"' + "".join(c if c.isprintable() else repr(c)[1:-1] for c in short) + '"'
        case int() | float():
            # Python refuses to print an integer of thousands of digits.
            return "a number too large" if isinstance(value, int) and abs(value) > 10**30 else repr(value)
        case dict():
            return "a table"
        case list():
            return f"a list of {len(cast('list[object]', value))}"
        case datetime.date() | datetime.time():
            return f"the date or time {value.isoformat()}"
        case _:
            return repr(value)[:_SHOWN]


def written_key(key: KeyPath) -> str:
    """Return a key path as a person reads it: `roof.station[3].x`, entries of lists counted from 1."""
    text = ""
    for step in key:
        if isinstance(step, int):
            text += f"[{step + 1}]"
        else:
            name = step if re.fullmatch(r"[A-Za-z0-9_-]+", step) else written(step)
            text += f".{name}" if text else name
    return text


def nearest(word: str, known: Iterable[str]) -> str:
    """Return the known word that is nearest to a misspelt one, or ""."""
    names = sorted(known)
    folded = {name.casefold(): name for name in names}
    if word.casefold() in folded:
        return folded[word.casefold()]
    found = difflib.get_close_matches(word[: limits.TEXT], names, n=1, cutoff=0.6)
    return found[0] if found else ""
