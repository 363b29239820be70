"""The welding bench: the weld map step by step, and where each joint is."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from rackgen.errors import Finding
from rackgen.parts.rack import Rack
from rackgen.sheets.drawing import Words
from rackgen.sheets.finishing import dressed_butts
from rackgen.sheets.pages import Block, Figure, Heading, Rows, Station, Text, Ticks
from rackgen.sheets.weld_figures import GROUPS, detail_drawing, group_drawing
from rackgen.sheets.weld_order import STEPS, done_there, titled
from rackgen.sheets.weld_rows import span, step_table, weld_notes
from rackgen.sheets.welds import weld_map
from rackgen.spec.shop import Shop

DETAIL = 190.0
"""Half the side of the cube that is drawn round a rear strap, mm."""


def weld_station(rack: Rack, shop: Shop) -> Station:
    """Return the station of the welding bench."""
    unit = shop.unit
    found, findings = weld_map(rack)
    blocks: list[Block] = [
        Text(
            "Every joint has its own number, W1, W2 ..., in order of welding. Nothing is welded on the vehicle: what "
            "waits for it is clamped, scribed and match-marked there, taken off, and welded here.",
            "caution",
        ),
        Ticks(
            (
                "Fit-up checked: sizes, diagonals and twist are within the fit-up sheet's limits, root gaps read.",
                "Mill scale, oil and any coating off, 25 mm (1 in) each side of every joint, both faces.",
                "A scrap of the same tube welded and broken open: root fused, no burn-through.",
                "Vents drilled and open: no closed tube is welded shut.",
            )
        ),
    ]
    blocks += [Text(said, "caution") for said in _out_of_reach(findings)]
    shown: set[str] = set()
    steps = {w.step for w in found.welds}
    missing: list[int] = []
    for step in range(1, max(steps, default=0) + 1):
        if step not in steps:
            missing.append(step)
            continue
        if missing:
            # A gap in the numbers would look like a page that was lost.
            blocks.append(Text(_without(missing), "small"))
            missing = []
        here = [w for w in found.welds if w.step == step]
        words = {word for w in here for word in w.words}
        blocks.append(Heading(f"Step {step}: {titled(step, words)}"))
        blocks.append(Text(done_there(step, words, {w.how for w in here})))
        blocks.append(Rows(step_table(found, step, unit), tick=True, below=("how",)))
        if step == 1:
            blocks += _butts(rack)
        for group in GROUPS:
            if step in group.steps and group.title not in shown:
                shown.add(group.title)
                drawing = group_drawing(rack, found, group)
                if drawing is not None:
                    said = "front to the lower left, seen from ahead and above"
                    if not any(isinstance(item, Words) for item in drawing.items):
                        said += "; too many joints to name here, the table has them in their order"
                    blocks.append(Figure(drawing, f"{group.title}: {said}"))
    strap = next((p for p in rack.placed if p.word == "rear strap"), None)
    if strap is not None:
        close = detail_drawing(rack, found, np.asarray(strap.frame.origin) + np.array([60.0, 0.0, -60.0]), DETAIL)
        if close is not None:
            side = strap.id.split(".")[1].replace("_", " ")
            said = f"{side}, seen from behind and above; the other side is its mirror image, ids as in the table"
            blocks.append(Figure(close, said, 95.0))
    blocks += [Heading("For every weld"), *(Text(note) for note in weld_notes(found, unit))]
    return Station("welds", "Welding bench", tuple(blocks))


def _out_of_reach(findings: Sequence[Finding]) -> list[str]:
    """Return what a torch does not reach, joints of which the same is said together."""
    alike: dict[tuple[str, str], list[str]] = {}
    for f in findings:
        name, _, said = f.text.partition(", ")
        alike.setdefault((said, f.help), []).append(name)
    return [f"{span(tuple(ids))}, {said}. {cure[0].upper()}{cure[1:]}." for (said, cure), ids in alike.items()]


def _without(steps: list[int]) -> str:
    """Return the steps that a rack does not have, those in a row."""
    if len(steps) == 1:
        return f"Step {steps[0]}, {STEPS[steps[0]][0].lower()}: this rack has none."
    named = "; ".join(STEPS[step][0].lower() for step in steps)
    return f"This rack has none of steps {steps[0]} to {steps[-1]}: {named}."


def _butts(rack: Rack) -> list[Block]:
    """Return the butts that are dressed, those on which the same parts bear together."""
    found = dressed_butts(rack)
    said: list[str] = []
    for bears in dict.fromkeys(b.bears for b in found):
        where = "; ".join(b.where for b in found if b.bears == bears)
        verb = "bears" if len(bears) == 1 else "bear"
        over = f"{' and '.join(bears)} {verb} on it" if bears else "hands and straps run over it"
        said.append(f"Dressed flush all round, ground along the tube, not across: {where}: {over}.")
    return [Ticks(tuple(said))] if said else []
