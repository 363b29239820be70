"""The packet's page: title block, the view with its tools, and the papers beside it.

Everything that anybody typed goes through `escape`, or into JSON in which nothing can end the script that holds it.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from html import escape
from importlib.resources import files as resources
from typing import Any

from rackgen.errors import Finding, Level
from rackgen.export.packet import blocks
from rackgen.export.packet.shelf import Held
from rackgen.parts.marks import Mark
from rackgen.sheets.pages import Rows, Station
from rackgen.sheets.table import Table
from rackgen.spec.paper import PaperSize

WIDE = 13
"""A table of so many columns is printed on a page turned sideways."""

BAD = ' class="bad"'

LOOKS = ("front left", "rear right", "side", "front", "rear", "top", "below")

SAWS = (("none", "not"), ("across", "across"), ("along", "lengthwise"), ("level", "level"))

KEYS = (
    "Arrows turn, with Shift they move; + and - go nearer and farther; Home looks from the front left. "
    "N and P take the next and the previous part in hand, Enter takes what is under the cross in the middle "
    "(with the tape: puts its end there), Escape lets go. "
    "Mouse: drag turns, right drag moves, wheel goes nearer. Fingers: one turns, two move and go nearer."
)


def shipped(name: str) -> str:
    """Return a file of the built view."""
    return (resources("rackgen.export.packet") / "shipped" / name).read_text(encoding="utf-8")


def script_json(data: Any) -> str:
    """Return data as JSON that can stand in a script of HTML: no sign in it can end or open anything there."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def written(
    *,
    title: str,
    paper: PaperSize,
    head: Sequence[tuple[str, str, bool]],
    stops: str,
    bench: str,
    papers: str,
    data: str,
    shelf: Sequence[Held],
    customer: bool = False,
) -> str:
    """Return the whole page.

    Args:
        title: of the rack.
        paper: what it is printed on.
        head: of the title block: name, text, whether it is bad news.
        stops: NOT CLEARED with the codes, "" when cleared.
        bench: the view, HTML.
        papers: what stands beside it, HTML.
        data: for the view, from `script_json`.
        shelf: the pack's files.
        customer: whether it is for the customer.
    """
    shop = [("findings", "Findings"), ("work", "Pages in the order of the work")]
    ways = [("bench", "The rack"), *([("work", "Pages")] if customer else shop), ("files", "Files")]
    cells = "".join(
        f"<div{BAD if bad else ''}><dt>{escape(name)}</dt><dd>{escape(text)}</dd></div>" for name, text, bad in head
    )
    held = "".join(
        f'<script type="text/plain" id="file-{n}">{one.inside}</script>' for n, one in enumerate(shelf) if one.inside
    )
    warned = "Not to be made like this" if customer else "Cut nothing by these sheets"
    stopped = f'<p class="stopped">{escape(stops)}. {warned}.</p>' if stops else ""
    return f"""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'unsafe-inline'; \
style-src 'unsafe-inline'; img-src data: blob:; form-action 'none'; base-uri 'none'">
<title>{escape(title)}: packet</title>
<style>
{shipped("page.css")}
@page {{ size: {paper}; margin: 12mm; }}
@page wide {{ size: {paper} landscape; margin: 12mm; }}
</style>
</head>
<body>
<header>
<dl class="block" id="head"><div class="title"><dt class="away">rack</dt><dd><h1>{escape(title)}</h1></dd>\
<dd><button type="button" id="theme">Dark</button></dd></div>{cells}</dl>
{stopped}
<nav class="ways" aria-label="This packet">{"".join(f'<a href="#{at}">{name}</a>' for at, name in ways)}</nav>
</header>
<main>
{bench}
<div id="papers">
{papers}
</div>
</main>
<footer>
<p>A calculation, not a certificate: the vehicle's handbook, local codes and licensed practice come first. What is
ticked and written here stays in this browser alone.<span class="screen"> The view is drawn with three.js:</span></p>
<pre>{escape(shipped("three-LICENSE.txt"))}</pre>
</footer>
<script type="application/json" id="rack-data">{data}</script>
{held}
<script>{shipped("view.js")}</script>
</body>
</html>
"""


def bench(
    still: str,
    parts: Sequence[tuple[int, str]],
    listed: Sequence[Mapping[str, Any]],
    tight: Sequence[Mapping[str, Any]] | None,
    *,
    bent: float | None,
    stay_out: bool,
    square: str,
) -> str:
    """Return the view with its tools.

    Args:
        still: the drawing that stands in for it, SVG.
        parts: number and name of every part.
        listed: the most used places.
        tight: the places nearest the roof, None where nothing stands over it.
        bent: how many times the frame's movement is shown, None without a rating.
        stay_out: whether there is anything to stay out of.
        square: side of the grid's squares.
    """
    looks = "".join(f'<button type="button" data-look="{name}">{name}</button>' for name in LOOKS)
    options = "".join(f'<option value="{n}">{escape(name)}</option>' for n, name in parts)
    colours = [("kind", "what it is made of"), ("stage", "stage of the work")]
    if bent is not None:
        colours += [("use", "strength used"), ("moment", "bending")]
    if tight is not None:
        colours.append(("gap", "gap to the roof"))
    near = "".join(
        f'<li><button type="button" class="go" data-tight="{n}">{escape(one["gap"])}</button> '
        f"{escape(one['what'])}</li>"
        for n, one in enumerate(tight or ())
    )
    places = "".join(
        f'<li><button type="button" class="go" data-listed="{n}">{escape(one["used"])}</button> '
        f"{escape(one['what'])}: {escape(one['check'])}; {escape(one['case'])}</li>"
        for n, one in enumerate(listed)
    )
    bending = "" if bent is None else _tick("bent", f"bent, shown {bent:g} times", False, row="bent-row")
    shown = "".join(
        (
            _tick("show-roof", "roof", True),
            _tick("show-stay-out", "what to stay out of", False) if stay_out else _hidden("show-stay-out"),
            _tick("show-bought", "bought parts", True),
            _tick("show-edges", "edges", True),
            _tick("show-marks", "marks", False),
            _tick("show-sizes", "overall sizes", True),
            _tick("show-grid", f"grid of {square}", False),
        )
    )
    return f"""<section class="bench" id="bench" aria-labelledby="bench-head">
<h2 class="away" id="bench-head">The rack in the round</h2>
<div class="stage">
<canvas id="canvas" tabindex="0" role="application" aria-label="The rack, to turn and to pick from" \
aria-describedby="keys"></canvas>
<div id="labels" aria-hidden="true"></div>
<div class="cross"></div>
<div id="still">{still}</div>
<img id="shot" alt="The rack as it was last turned">
</div>
<p id="said" role="status"></p>
<section class="card" aria-label="Part in hand"><div class="row"><label for="which">Part in hand</label>
<select id="which"><option value="">none: pick one in the view, or here</option>{options}</select>
<button type="button" id="near">Go near</button><button type="button" id="release">Put down</button></div>
<div id="card" aria-live="polite"></div></section>
<div class="tools">
<div role="group" aria-label="Look from"><span class="name">Look from</span>{looks}</div>
<div><label class="name" for="apart">Pull apart</label>
<input type="range" id="apart" min="0" max="100" value="0" step="1"></div>
<fieldset><legend>Saw through</legend>{_choices("saw", SAWS)}
<label class="wide" for="saw-at"><span class="away">Where to saw</span>\
<input type="range" id="saw-at" min="0" max="100" value="50" step="0.5" aria-label="Where to saw"></label>
{_tick("saw-other", "keep the other side", False)}<output id="saw-said" class="small" for="saw-at"></output></fieldset>
<div role="group" aria-label="Tape"><span class="name">Tape</span>
<button type="button" id="tape" aria-pressed="false">Measure between two places</button>
<p id="reading" role="status"></p></div>
<fieldset><legend>Show</legend>{shown}</fieldset>
<fieldset><legend>Colour by</legend>{_choices("colour", colours)}{bending}
<p class="small" id="told"></p><ul class="legend" id="legend"></ul>
<ol class="listed" id="listed" hidden>{places}</ol><ol class="listed" id="tight" hidden>{near}</ol></fieldset>
<details><summary>Keys, mouse and fingers</summary><p class="small" id="keys">{escape(KEYS)}</p></details>
</div>
</section>"""


def _choices(name: str, choices: Sequence[tuple[str, str]]) -> str:
    return "".join(
        f'<label><input type="radio" name="{name}" value="{value}"{" checked" if n == 0 else ""}>{escape(text)}</label>'
        for n, (value, text) in enumerate(choices)
    )


def _tick(name: str, text: str, on: bool, row: str = "") -> str:
    named = f' id="{row}" hidden' if row else ""
    return f'<label{named}><input type="checkbox" id="{name}"{" checked" if on else ""}>{escape(text)}</label>'


def _hidden(name: str) -> str:
    return f'<input type="checkbox" id="{name}" hidden>'


def papers(
    *,
    findings: Sequence[Finding],
    stations: Sequence[Station],
    sheets: Mapping[str, tuple[Table | None, str]],
    marks: Collection[Mark],
    files: Collection[str],
    customer: bool = False,
) -> str:
    """Return everything beside the view but the list of files: findings, pages in work order, sheets row by row.

    Args:
        findings: worst first; none are told to a customer.
        stations: pages in work order.
        sheets: every sheet by name.
        marks: of the rack.
        files: names of the pack's.
        customer: whether it is for the customer, who gets no findings and no sheets.
    """
    work = [(f"at-{s.name}", "First page" if s.name == "cover" else s.title) for s in stations]
    titles = dict(work)
    rows = [(f"sheet-{name}", _title(name, found[0])) for name, found in sheets.items()]
    parts = [
        _nav((*(() if customer else (("findings", "Findings"),)), *work, ("files", "Files")), rows, customer=customer),
        "" if customer else f'<section id="findings"><h2>Findings</h2>{_findings(findings)}</section>',
        '<p class="small-tools"><button type="button" id="open-all">Open all pages</button> '
        '<button type="button" id="close-all">Shut all</button></p>',
    ]
    for n, station in enumerate(stations):
        # The first page and the cautions are read first.
        parts.append(
            _folder(f"at-{station.name}", titles[f"at-{station.name}"], blocks.station(station, marks, files),
                    kind="station", is_open=n < 2,
                    wide=any(_is_wide(b.table, b.below) for b in station.blocks if isinstance(b, Rows)))
        )  # fmt: skip
    if not sheets:
        return "\n".join(parts)
    parts.append(
        '<h2 id="rows-head">Every sheet, row by row</h2><p class="small small-tools">Of these, those that are open are '
        "printed.</p>"
    )
    for name, (table, text) in sheets.items():
        inside = f"<pre>{escape(text)}</pre>" if table is None else blocks.table(table, marks, name=name)
        parts.append(
            _folder(
                f"sheet-{name}", _title(name, table), inside, kind="rows", wide=table is not None and _is_wide(table)
            )
        )
    return "\n".join(parts)


def shelf_section(shelf: Sequence[Held], pictures: Sequence[str]) -> str:
    """Return the list of the pack's files, and of its pictures."""
    return _folder("files", "Files", _files(shelf, pictures), kind="station")


def _is_wide(table: Table, below: tuple[str, ...] = ()) -> bool:
    """Return whether a table wants a page turned sideways; columns set under the row take no width."""
    used = (any(row[i] for row in table.rows) for i, c in enumerate(table.columns) if c.key not in below)
    return sum(used) >= WIDE


def _title(name: str, table: Table | None) -> str:
    return table.title if table is not None else name.replace("-", " ").capitalize()


def _nav(work: Sequence[tuple[str, str]], rows: Sequence[tuple[str, str]], *, customer: bool) -> str:
    def links(entries: Sequence[tuple[str, str]]) -> str:
        return "".join(f'<li><a href="#{at}">{escape(title)}</a></li>' for at, title in entries)

    if customer:
        return f'<nav aria-label="Papers" id="work"><h2>Pages</h2><ol>{links(work)}</ol></nav>'
    return (
        f'<nav aria-label="Papers" id="work"><h2>In the order of the work</h2><ol>{links(work)}</ol>'
        f"<details><summary>Sheets, row by row</summary><ol>{links(rows)}</ol></details>"
        '<p class="small">The shop\'s own estimate is in here: a customer gets for-customer.html.</p></nav>'
    )


def _folder(name: str, title: str, inside: str, *, kind: str, is_open: bool = False, wide: bool = False) -> str:
    return (
        f'<section id="{name}"><details class="{kind}{" wide" if wide else ""}"{" open" if is_open else ""}>'
        f"<summary><h2>{escape(title)}</h2></summary>{inside}</details></section>"
    )


def _findings(found: Sequence[Finding]) -> str:
    if not found:
        return "<p>Nothing was found.</p>"
    out: list[str] = []
    for n, f in enumerate(found):
        show = f' <button type="button" class="go" data-finding="{n}">Show it</button>' if f.at or f.parts else ""
        against = (
            "" if f.got is None or f.limit is None else f"{f.got:.2f} against {f.limit:.2f} {f.unit}".strip() + ". "
        )
        more = "".join(
            (
                f"<p><strong>Do:</strong> {escape(f.help)}</p>" if f.help else "",
                f'<p class="small">{escape(against)}{escape(f.source)}'
                f"{'; see ' + escape(', '.join(f.keys)) if f.keys else ''}</p>",
                f'<p class="small">{escape(", ".join(f.parts))}</p>' if f.parts else "",
            )
        )
        out.append(
            f'<div class="finding {f.level!s}"><p><span class="level">{_level(f.level)}</span> '
            f"{escape(f.code)}{show}</p><p>{escape(f.text)}</p>{more}</div>"
        )
    return "".join(out)


def _level(level: Level) -> str:
    return {Level.STOP: "Stop:", Level.LOOK: "Look:", Level.NOTE: "Note:"}[level]


def _files(shelf: Sequence[Held], pictures: Sequence[str]) -> str:
    inside, beside = [h for h in shelf if h.inside], [h for h in shelf if not h.inside]
    held = "".join(
        f'<tr><td><button type="button" class="go" data-save="{escape(h.name)}" data-from="file-{shelf.index(h)}">'
        f'{escape(h.name)}</button></td><td>{escape(h.use)}</td><td class="n">{_size(h.size)}</td></tr>'
        for h in inside
    )
    linked = "".join(
        f'<tr><td>{blocks.beside(h.name)}</td><td>{escape(h.use)}</td><td class="n">{_size(h.size)}</td></tr>'
        for h in beside
    )
    head = (
        '<thead><tr><th scope="col">file</th><th scope="col">for</th><th scope="col" class="n">size</th></tr></thead>'
    )
    drawn = f"<p>Pictures, beside it too: {', '.join(blocks.beside(p) for p in pictures)}.</p>" if pictures else ""
    lying = (
        "<p>These lie beside it in the pack's folder and do not come with it when it is sent alone. What the sheets "
        "among them say stands above. manifest.json names every file with its check sum.</p>"
        f'<table class="sheet">{head}<tbody>{linked}</tbody></table>'
    )
    return (
        "<p>These files are inside this one: a button saves its file.</p>"
        f'<table class="sheet">{head}<tbody>{held}</tbody></table>{lying if beside else ""}{drawn}'
    )


def _size(count: int) -> str:
    return f"{count / 1e6:.1f} MB" if count >= 1e6 else f"{max(1, round(count / 1e3))} kB"
