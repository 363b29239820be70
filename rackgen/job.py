"""The whole story on one page: read three files, design, check, and make the pack.

Reading, designing, checking and every sheet work on numbers alone. Each room is loaded where it is entered, so that a
question about the cut list is not kept waiting by collision trees, a solver or the CAD kernel.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from rackgen.design.build import layout
from rackgen.errors import BadInput, Finding, PictureError, RackgenError, order
from rackgen.export.revision import program, revision
from rackgen.export.tables import csv_bytes, json_bytes
from rackgen.export.text import stamped
from rackgen.made import Design
from rackgen.paper import SHEETS, Sheet
from rackgen.parts.rack import PartId
from rackgen.parts.resolve import resolve
from rackgen.sheets.stamp import Stamp, stop_codes
from rackgen.spec.read import Job, located

Said = Callable[[str], None]
"""Called with what is being made."""


def design(job: Job) -> Design:
    """Return the rack that a job asks for, not yet checked.

    Raises:
        BadInput: the shop lacks stock for a role, or the sizes are impossible.
    """
    try:
        intent = layout(job.spec, job.shop, job.vehicle)
    except BadInput as refusal:
        raise located(job, refusal) from refusal
    rack, found = resolve(intent)
    if job.spec.as_built:
        from rackgen.design.as_built import with_as_built

        try:
            intent = with_as_built(intent, rack, job.spec.as_built, job.spec.name)
        except BadInput as refusal:
            raise located(job, refusal) from refusal
        rack, found = resolve(intent)
    keys = {part: named for group in intent.groups for part, named in group.keys.items()}
    stamp = Stamp(job.spec.name, revision(rack), program(), stop_codes(found), (), False)
    return Design(job, rack, keys, _with_keys(found, keys), None, stamp)


def _with_keys(findings: tuple[Finding, ...], keys: Mapping[PartId, tuple[str, ...]]) -> tuple[Finding, ...]:
    """Return the findings, those without preset keys with the keys that asked for their parts."""

    def keyed(finding: Finding) -> Finding:
        named = dict.fromkeys(key for part in finding.parts for key in keys.get(part, ()))
        return finding if finding.keys else replace(finding, keys=tuple(named))

    return tuple(keyed(f) for f in findings)


def strong(made: Design) -> Design:
    """Return the design with its strength and what that finds; before it is checked, so that waivers reach it.

    A rack that cannot be reckoned has a finding that says why, and no rating.
    """
    from rackgen.strength.findings import strength_findings, unrated
    from rackgen.strength.reckon import strength

    assert made.checked is None, "waivers are applied once, by the check"
    job = made.job
    try:
        found = strength(made.rack, job.vehicle, job.shop, job.spec.load)
        said = strength_findings(found, job.spec.load)
        made = replace(made, strength=found)
    except RackgenError as error:
        said = (unrated(error),)
        made = replace(made, unrated=str(error))
    findings = order((*made.findings, *_with_keys(said, made.keys)))
    return replace(made, findings=findings, stamp=replace(made.stamp, stops=stop_codes(findings)))


def checked(made: Design) -> Design:
    """Return the design with its check."""
    from rackgen.check.all import check
    from rackgen.check.waive import waive
    from rackgen.sheets.bends import bend_sheets
    from rackgen.sheets.cutlist import cut_list
    from rackgen.sheets.flats import blanks
    from rackgen.sheets.nest_fit import too_big
    from rackgen.sheets.template_sizes import tiled
    from rackgen.strength.findings import CODES as STRENGTH_CODES

    job, rack = made.job, made.rack
    result, found = check(rack, job.shop, job.vehicle, job.spec)
    _, from_cuts = cut_list(rack, job.shop)
    _, from_bends = bend_sheets(rack, job.shop)
    flat, from_flats = blanks(rack, job.shop)
    from_paper = (*too_big(rack, flat, job.shop), *tiled(rack, flat, job.shop, made.paper))
    said = _with_keys((*found, *from_cuts, *from_bends, *from_flats, *from_paper), made.keys)
    # Waivers of what a rating finds wait for it.
    waivers = tuple(w for w in job.spec.waivers if made.reckoned or w.code not in STRENGTH_CODES)
    findings, waived = waive((*made.findings, *said), waivers)
    stamp = replace(made.stamp, stops=stop_codes(findings), waived=waived, checked=True)
    return replace(made, findings=findings, checked=result, stamp=stamp)


def all_sheets(made: Design) -> dict[str, Sheet]:
    """Return every sheet of a checked and reckoned design by name, in work order."""
    return {name: give(made) for name, give in SHEETS.items()}


def sheet_files(made: Design, sheets: Mapping[str, Sheet] | None = None) -> dict[str, bytes]:
    """Return every sheet as text, CSV and JSON; `sheets` are all of them, where they are known."""
    out: dict[str, bytes] = {}
    for name, (table, text, record) in (all_sheets(made) if sheets is None else sheets).items():
        out[f"{name}.txt"] = stamped(made.stamp, text).encode("utf-8")
        if table is not None:
            out[f"{name}.csv"] = csv_bytes(table, made.stamp)
            out[f"{name}.json"] = json_bytes(name, record, made.stamp)
    return out


def files(made: Design, said: Said) -> tuple[dict[str, bytes], frozenset[str], tuple[str, ...]]:
    """Return the pack's files, the names of its pictures, and what could not be made, in words.

    Raises:
        SolidError: a solid is not what its description says.
    """
    from rackgen.export.dxf import blank_files
    from rackgen.export.gap_map_svg import gap_map_file
    from rackgen.export.glb import glb_bytes
    from rackgen.export.nest_dxf import nest_files
    from rackgen.export.packet.packet import for_customer, packet
    from rackgen.export.step import step_bytes
    from rackgen.export.stl import stl_files
    from rackgen.export.wraps import wrap_files
    from rackgen.parts.marks import lines
    from rackgen.sheets.flats import blanks
    from rackgen.sheets.nest import nest
    from rackgen.sheets.wraps import wraps
    from rackgen.solid.build import proved_solids
    from rackgen.stations import customer_stations, packet_contents, pdfs, shop_stations
    from rackgen.strength.model_json import written

    rack, job, name = made.rack, made.job, made.job.spec.name
    sheets = all_sheets(made)
    out = sheet_files(made, sheets)
    said("flat blanks, nests and wraps")
    out |= blank_files(blanks(rack, job.shop)[0], made.stamp)
    found, flat, _ = nest(rack, job.shop, made.layout)
    out |= nest_files(found, flat, made.stamp, kerf_drawn=made.kerf_drawn)
    out |= wrap_files(wraps(rack, job.shop), made.stamp)
    assert made.checked is not None, "a pack is made of a checked design"
    out |= gap_map_file(rack, job.vehicle, job.spec, job.shop.unit, made.checked)
    if made.strength is not None:
        out[f"{name}-frame.json"] = written(made.strength.model).encode("utf-8")
    said("pages")
    pages = shop_stations(made)
    out |= pdfs(made, pages)
    said("solids")
    distinct = lines(rack)
    solids = proved_solids(distinct)
    said("STEP")
    out[f"{name}.step"] = step_bytes(name, distinct, solids)
    said("STL and GLB")
    out |= stl_files(name, distinct, solids)
    out[f"{name}.glb"] = glb_bytes(distinct, solids)
    said("pictures")
    pictures, missing = _pictures(made)
    said("packet")
    held = packet_contents(made, pages, sheets, out, tuple(pictures))
    out["for-customer.html"] = packet(for_customer(held, customer_stations(made)))
    out["packet.html"] = packet(replace(held, files=out))
    return out | pictures, frozenset(pictures), missing


def _pictures(made: Design) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Return the pictures by file name, plain ones where there is no OpenGL, and what that costs, in words."""
    from rackgen.export.picture import part_pictures, pictures
    from rackgen.export.plain_picture import plain_part_pictures, plain_pictures
    from rackgen.parts.marks import lines

    distinct, inches = lines(made.rack), made.job.shop.unit == "in"
    try:
        drawn = pictures(made.rack, made.job.vehicle, inches=inches)
        alone = part_pictures(distinct, inches=inches)
        missing = ()
    except PictureError as error:
        drawn, alone = plain_pictures(made.rack, inches=inches), plain_part_pictures(distinct, inches=inches)
        missing = (f"{error}; drawn plainly instead, without marks, edges and roof",)
    out = {f"{made.job.spec.name}-{view.replace(' ', '-')}.png": png for view, png in drawn.items()}
    return out | {f"{mark}.png": png for mark, png in alone.items()}, missing


def build(made: Design, folder: Path, said: Said) -> tuple[int, tuple[str, ...]]:
    """Write the pack of a design into `folder`/<rack>, whole or not at all.

    Returns:
        How many files it holds, and what could not be made, in words.

    Raises:
        SolidError: a solid is not what its description says; nothing is written.
        PackError: the folder holds a foreign file, another build is at work on it, or it cannot be written.
    """
    from rackgen.export.manifest import PackInfo
    from rackgen.export.pack import check_folder, recover, write_pack

    target = folder / made.job.spec.name
    recover(target)
    check_folder(target)
    content, pictures, missing = files(made, said)
    said("the pack")
    stamp = made.stamp
    write_pack(target, content, PackInfo(stamp.rack, stamp.revision, stamp.program, stamp.stops, pictures))
    return len(content), missing
