"""A rack as beams: every tube and bar a line, every joint a rigid arm, mounts as what they are.

What carries: tubes, the bars of the mounts, plates as strips from where they are welded to each fastener, U-bolts as
clamps that hold up, down and sideways, fore-aft stops. What only weighs: floor, side plates, strips, bought parts. Mesh
is taken as without stiffness, side plates too, which is on the safe side for the tubes.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from rackgen.geom.frame import Array, Frame, Vec, unit, vec
from rackgen.parts.kinds import BentTube, BoltShape, Bought, CutPlate, FoldedBar, UBoltShape
from rackgen.parts.rack import Along, Anchor, AtEnd, Joint, OnFace, PartId, Placed, Rack
from rackgen.parts.resolve import anchor_point
from rackgen.refs.registry import number
from rackgen.sheets.weld_lines import BEAD_DEEP, runs
from rackgen.spec.foot_place import GutterPlace
from rackgen.spec.stock import Flat
from rackgen.spec.vehicle import Vehicle
from rackgen.strength.lines import Line, elastic_of, flat_properties
from rackgen.strength.masses import lumps_of
from rackgen.strength.model import Elastic, FrameModel, Lump, Member, Node, Properties, Support
from rackgen.strength.places import clamped, places
from rackgen.strength.supports import mount_spring

ONE_PLACE = 0.5
"""Two points nearer than this are one node, mm."""

SEAM = 15.0
"""A seam longer than this holds at both its ends and in its middle, a shorter one in its middle alone, mm."""

ARM = Elastic(200000.0, 77000.0)
ARM_AXIAL = 2.0e8
ARM_BENDING = 2.0e11
"""A rigid arm's E A / L, N/mm, and E I / L, N·mm: some thousand times what the tubes have between two nodes."""

WEIGHT_ONLY = ("sleeve", "edge strip", "fore-aft stop", "slat")
"""Words of tubes and bars that weigh and do not carry: a sleeve lies inside a butt that carries as the tube does;
strips and slats of bar are the floor's, stops are clamps."""


def _weight_only(placed: Placed) -> bool:
    """Return whether a tube or bar weighs and does not carry; slats of tube, coped between the sides, are bearers."""
    coped = placed.word == "slat" and isinstance(placed.part, BentTube)
    return (placed.word in WEIGHT_ONLY and not coped) or _is_fitting(placed.id)


def _is_fitting(part: PartId) -> bool:
    """Return whether a part belongs to a fitting, which weighs and holds up nothing of the rack."""
    return part.startswith("fitting[")


def frame_model(rack: Rack, vehicle: Vehicle, *, rigid: bool = False) -> FrameModel:
    """Return the rack as beams, without actions and cases.

    Args:
        rack: the rack.
        vehicle: what holds it.
        rigid: take the vehicle's skin as rigid instead of what lies under each mount.
    """
    return _Making(rack, vehicle, rigid).model()


@dataclass
class _Making:
    """A model while it is made: lines first get every station that something is joined at, then become members."""

    rack: Rack
    vehicle: Vehicle
    rigid: bool
    by_id: dict[PartId, Placed] = field(init=False)
    lines: dict[PartId, Line] = field(init=False)
    arms: list[tuple[str, str, str]] = field(default_factory=list[tuple[str, str, str]])
    extra: list[Member] = field(default_factory=list[Member])
    points: dict[str, Vec] = field(default_factory=dict[str, Vec])
    pins: list[tuple[PartId, float, str]] = field(default_factory=list[tuple[PartId, float, str]])
    held: list[tuple[str, PartId, str]] = field(default_factory=list[tuple[str, PartId, str]])
    plates: set[PartId] = field(default_factory=set[PartId])

    def __post_init__(self) -> None:
        self.by_id = {p.id: p for p in self.rack.placed}
        self.lines = {
            p.id: Line(p) for p in self.rack.placed if isinstance(p.part, BentTube | FoldedBar) and not _weight_only(p)
        }

    def model(self) -> FrameModel:
        self._fasteners()
        for joint in self.rack.joints:
            if joint.a.part not in self.lines or joint.b.part not in self.lines:
                continue
            if joint.kind in ("coped weld", "plane weld", "mitre weld", "butt with sleeve"):
                self._landed(joint)
            elif joint.kind == "fillet":
                self._seam(joint)
        self._stops()
        for joint, _ in clamped(self.rack):
            if joint.b.part in self.lines:
                self._on(joint.b.part, self._station(joint.b, anchor_point(joint.b, self.by_id)))
        nodes, members = self._members()
        lumps = lumps_of((p for p in self.rack.placed if p.id not in self.lines), [n for n in nodes if ":" in n.id])
        supports = self._supports()
        model = _merged(FrameModel(tuple(nodes), tuple(members), supports, lumps))
        return replace(model, places=places(self.rack, model))

    # ---- nodes by name -------------------------------------------------------------------------------------------

    def _on(self, part: PartId, s: float) -> str:
        """Return a name for the node at a place of a line; it is settled once all stations are known."""
        at = self.lines[part].want(s)
        name = f"{part}@{at:.3f}"
        self.pins.append((part, at, name))
        self.points[name] = self.lines[part].frame(at).origin
        return name

    def _free(self, name: str, at: Vec | Array) -> str:
        self.points[name] = vec(at)
        return name

    def _station(self, anchor: Anchor, point: Vec) -> float:
        line = self.lines[anchor.part]
        match anchor:
            case AtEnd():
                return 0.0 if anchor.end == "A" else line.length
            case Along():
                return anchor.at
            case OnFace():
                return line.nearest(point)

    # ---- joints --------------------------------------------------------------------------------------------------

    def _landed(self, joint: Joint) -> None:
        """Join the end of one tube to the other by an arm between their centrelines: its length is the eccentricity."""
        one, other = (self._on(a.part, self._station(a, anchor_point(a, self.by_id))) for a in (joint.a, joint.b))
        self.arms.append((one, other, joint.id))

    def _seam(self, joint: Joint) -> None:
        """Join two lines where a seam runs along both: at its ends and its middle."""
        beads = [run.points for run in runs(joint, self.by_id)]
        points = np.concatenate(beads) if beads else np.array([anchor_point(joint.a, self.by_id)])
        # The line that the seam runs along farther says where its ends are.
        spans = {a.part: sorted(self.lines[a.part].nearest(p) for p in points) for a in (joint.a, joint.b)}
        first, second = sorted(spans, key=lambda part: spans[part][0] - spans[part][-1])
        low, high = spans[first][0], spans[first][-1]
        middle = (low + high) / 2
        wanted = (low, middle, high) if high - low > SEAM else (middle,)
        for i, s in enumerate(wanted):
            one = self._on(first, s)
            facing = self.lines[second].nearest(self._toward(first, s, points))
            name = joint.id if len(wanted) == 1 else f"{joint.id}|{i + 1}"
            self.arms.append((one, self._on(second, facing), name))

    def _toward(self, part: PartId, s: float, points: Array) -> Array:
        """Return the point of a seam nearest to a place of a line: where the other part is met."""
        at = np.asarray(self.lines[part].frame(s).origin)
        return points[int(np.argmin(np.linalg.norm(points - at, axis=1)))]

    # ---- plates, rivets and U-bolts ------------------------------------------------------------------------------

    def _fasteners(self) -> None:
        rivets: dict[PartId, list[Joint]] = defaultdict(list)
        bolts: dict[PartId, list[Joint]] = defaultdict(list)
        for joint in self.rack.joints:
            if _is_fitting(joint.a.part):
                continue
            if joint.kind in ("rivets", "bolts"):
                rivets[joint.a.part].append(joint)
            elif joint.kind == "U-bolt":
                bolts[joint.a.part].append(joint)
        on_plates: dict[PartId, list[PartId]] = defaultdict(list)
        for rivet, joints in rivets.items():
            held = [j.b.part for j in joints]
            here = [p for p in held if p in self.lines]
            plate = next((p for p in held if isinstance(self.by_id[p].part, CutPlate)), None)
            if plate is not None:
                on_plates[plate].append(rivet)
            elif here and self._gutter(rivet) is not None:
                self._jaw(rivet, here)
            elif here:
                self._through_bars(rivet, here)
        for plate, fasteners in on_plates.items():
            self._mount_plate(plate, fasteners)
        clamps: dict[PartId, list[tuple[PartId, Joint, Joint]]] = defaultdict(list)
        for bolt, joints in bolts.items():
            pad = next((j for j in joints if isinstance(self.by_id[j.b.part].part, CutPlate)), None)
            leg = next((j for j in joints if j.b.part in self.lines), None)
            if pad is not None and leg is not None:
                clamps[pad.b.part].append((bolt, pad, leg))
        for pad, found in clamps.items():
            self._clamp_pad(pad, found)

    def _through_bars(self, rivet: PartId, bars: list[PartId]) -> None:
        """A rivet pins the bars it goes through, and the skin holds it where it goes into the body."""
        at = np.asarray(self.by_id[rivet].frame.origin)
        head = self._free(rivet, at)
        for bar in bars:
            self.arms.append((self._on(bar, self.lines[bar].nearest(at)), head, rivet))
        self.held.append((head, rivet, rivet.split(".")[1]))

    def _gutter(self, fastener: PartId) -> GutterPlace | None:
        """Return the gutter that a fastener's mount stands on, or None where it is a mount of another kind."""
        mount = fastener.split(".")[1]
        return next((g for g in self.vehicle.feet if isinstance(g, GutterPlace) and g.name == mount), None)

    def _jaw(self, bolt: PartId, bars: list[PartId]) -> None:
        """Jaw and clamp are pinned to the lip between them, under each of their bolts; hook and toe bear near there."""
        gutter, frame = self._gutter(bolt), self.by_id[bolt].frame
        assert gutter is not None
        off = frame.to_local(gutter.at)
        part = self.by_id[bolt].part
        assert isinstance(part, Bought)
        assert isinstance(part.shape, BoltShape)
        lip = frame.point((float(off[0]) - gutter.depth / 2, 0.0, -part.shape.grip / 2))
        pin = self._free(bolt, lip)
        at = np.asarray(frame.origin)
        for bar in bars:
            self.arms.append((self._on(bar, self.lines[bar].nearest(at)), pin, bolt))
        self.held.append((pin, bolt, gutter.name))

    def _mount_plate(self, plate: PartId, fasteners: list[PartId]) -> None:
        """A plate is a strip from the wall of what stands on it to each of its fasteners."""
        placed = self.by_id[plate]
        part = placed.part
        assert isinstance(part, CutPlate)
        self.plates.add(plate)
        feet = [j for j in self.rack.joints if plate in (j.a.part, j.b.part) and j.kind in ("plane weld", "fillet")]
        feet = [j for j in feet if (j.a.part if j.b.part == plate else j.b.part) in self.lines]
        up = vec(placed.frame.direction((0.0, 0.0, 1.0)))
        middle = part.thickness / 2
        least = float(np.ptp(np.array([(v.x, v.y) for v in part.outline]), axis=0).min())
        hubs: list[tuple[Array, float, str]] = []
        for joint in feet:
            stands, lies = (joint.a, joint.b) if joint.b.part == plate else (joint.b, joint.a)
            tube = self.by_id[stands.part].part
            reach = tube.section.od / 2 if isinstance(tube, BentTube) else 0.0
            foot = np.asarray(anchor_point(lies, self.by_id)) - np.asarray(up) * middle
            hub = self._free(f"{plate}|{joint.id}", foot)
            self.arms.append((self._on(stands.part, self._station(stands, vec(foot))), hub, joint.id))
            hubs.append((foot, reach, hub))
        for fastener in fasteners:
            at = np.asarray(self.by_id[fastener].frame.origin)
            local = placed.frame.to_local(at)
            at = np.asarray(placed.frame.point((local[0], local[1], middle)))
            end = self._free(fastener, at)
            self.held.append((end, fastener, fastener.split(".")[1]))
            for foot, reach, hub in hubs:
                gap = float(np.linalg.norm(at - foot))
                wall = min(reach, gap - 5.0)
                toward = (at - foot) / gap
                begin = hub
                if wall > ONE_PLACE:
                    begin = self._free(f"{fastener}|{hub}", foot + toward * wall)
                    self.arms.append((hub, begin, hub.split("|")[1]))
                width = min(math.pi * gap / len(fasteners), least)
                self._strip(f"{plate}#{fastener.rsplit('.', 1)[1]}", begin, end, plate, width, up)

    def _strip(self, name: str, a: str, b: str, plate: PartId, width: float, up: Vec) -> None:
        part = self.by_id[plate].part
        assert isinstance(part, CutPlate)
        shape = Flat(width, part.thickness)
        length = float(np.linalg.norm(np.subtract(self.points[b], self.points[a])))
        self.extra.append(
            Member(name, a, b, "plate", flat_properties(shape), elastic_of(part.stock.material), up, plate, 0.0, length)
        )

    def _clamp_pad(self, pad: PartId, found: list[tuple[PartId, Joint, Joint]]) -> None:
        """A clamp pad is a strip from the ring's bead to over the leg at each U-bolt, and one between those."""
        placed = self.by_id[pad]
        part = placed.part
        assert isinstance(part, CutPlate)
        self.plates.add(pad)
        welds = [j for j in self.rack.joints if j.kind == "fillet" and pad in (j.a.part, j.b.part)]
        ring = next((a.part for j in welds for a in (j.a, j.b) if a.part in self.lines), None)
        weld = next((j.id for j in welds if ring in (j.a.part, j.b.part)), "")
        if ring is None:
            return
        up = vec(placed.frame.direction((0.0, 0.0, 1.0)))
        middle = part.thickness / 2

        def on_pad(point: Vec | Array) -> Vec:
            local = placed.frame.to_local(point)
            return placed.frame.point((local[0], local[1], middle))

        size = np.ptp(np.array([(v.x, v.y) for v in part.outline]), axis=0)
        overs: list[tuple[float, str]] = []
        for bolt, _, leg in found:
            axis = anchor_point(leg.b, self.by_id)
            over = self._free(f"{bolt}|pad", on_pad(axis))
            s = self.lines[ring].nearest(axis)
            below_ring = np.asarray(on_pad(self.lines[ring].frame(s).origin))
            out = np.asarray(self.points[over]) - below_ring
            reach = min(_bead(self.by_id[ring]), float(np.linalg.norm(out)) / 2)
            toe = self._free(f"{bolt}|ring", below_ring + unit(out) * reach)
            self.arms.append((self._on(ring, s), toe, weld))
            self._strip(f"{pad}#{bolt.rsplit('.', 1)[1]}", toe, over, pad, float(min(size)) / len(found), up)
            below = self._on(leg.b.part, self._station(leg.b, axis))
            self._clamp(bolt, over, below, leg)
            overs.append((self._station(leg.b, axis), over))
        overs.sort()
        for (_, a), (_, b) in itertools.pairwise(overs):
            self._strip(f"{pad}#{len(self.extra)}", a, b, pad, float(max(size)) / 2, up)

    def _clamp(self, bolt: PartId, over: str, below: str, leg: Joint) -> None:
        """A U-bolt holds the leg up, down and sideways; not lengthways or from turning, which is but friction."""
        shape = self.by_id[bolt].part
        assert isinstance(shape, Bought)
        assert isinstance(shape.shape, UBoltShape)
        u = shape.shape
        a, b = self.points[over], self.points[below]
        length = float(np.linalg.norm(np.subtract(a, b)))
        rod = math.pi * u.rod**2 / 4
        # Two legs, as long as from the bow to the nuts.
        axial = ARM.e * 2 * rod / max(u.seat + u.drop, 1.0)
        # Standing on the pad and holding the leg at its end, as a cantilever does.
        bending = number("clamp-sideways").value * length**3 / (3 * ARM.e)
        line = self.lines[leg.b.part]
        way = line.frame(self._station(leg.b, b)).x
        self.extra.append(
            Member(
                bolt,
                over,
                below,
                "clamp",
                Properties(axial * length / ARM.e, bending, bending, rod),
                ARM,
                way,
                bolt,
                free_b=("dz", "rx", "ry", "rz"),
                joint=leg.id,
            )
        )

    def _stops(self) -> None:
        """A fore-aft stop is welded to the leg and bears on a pad's edge: it holds along the leg and no other way."""
        for joint in self.rack.joints:
            one, other = self.by_id[joint.a.part], self.by_id[joint.b.part]
            if joint.kind != "contact" or one.word != "fore-aft stop" or other.id not in self.plates:
                continue
            weld = next(j for j in self.rack.joints if j.kind == "fillet" and one.id in (j.a.part, j.b.part))
            leg = weld.b if weld.a.part == one.id else weld.a
            near = [m for m in self.extra if m.kind == "clamp" and f"{other.id}".rsplit(".", 1)[0] in m.id]
            if leg.part not in self.lines or not near:
                continue
            here = anchor_point(leg, self.by_id)
            clamp = min(near, key=lambda m: float(np.linalg.norm(np.subtract(self.points[m.b], here))))
            over = np.asarray(self.points[clamp.a])
            way = np.asarray(self.lines[leg.part].frame(self._station(leg, here)).x)
            beside = over + way * float((np.asarray(here) - over) @ way)
            stop = self._free(f"{one.id}|edge", beside)
            self.arms.append((self._on(leg.part, self._station(leg, here)), stop, weld.id))
            gap = float(np.linalg.norm(beside - over))
            # Stiffer, and two stops that look at one another would hold what a leg and a ring want to part by.
            area = number("stop-lengthways").value * gap / ARM.e
            self.extra.append(
                Member(
                    one.id,
                    stop,
                    clamp.a,
                    "clamp",
                    Properties(area, 1.0, 1.0, 1.0),
                    ARM,
                    (0.0, 0.0, 1.0),
                    one.id,
                    free_b=("dy", "dz", "rx", "ry", "rz"),
                    joint=joint.id,
                )
            )

    # ---- from names to members -----------------------------------------------------------------------------------

    def _members(self) -> tuple[list[Node], list[Member]]:
        nodes: list[Node] = []
        members: list[Member] = []
        named: dict[str, str] = {}
        for part, line in self.lines.items():
            frames = [line.frame(float(s)) for s in line.stations]
            nodes += [Node(f"{part}:{i}", f.origin) for i, f in enumerate(frames)]
            members += _pieces(part, line, frames)
        for part, s, name in self.pins:
            named[name] = f"{part}:{self.lines[part].index(s)}"
        nodes += [Node(name, at) for name, at in self.points.items() if name not in named]
        at = {n.id: n.at for n in nodes}
        members += [replace(m, a=named.get(m.a, m.a), b=named.get(m.b, m.b)) for m in self.extra]
        for i, (a, b, joint) in enumerate(self.arms):
            members.append(_arm(f"arm#{i}", named.get(a, a), named.get(b, b), joint, at))
        return nodes, members

    def _supports(self) -> tuple[Support, ...]:
        count: dict[str, int] = defaultdict(int)
        for _, _, mount in self.held:
            count[mount] += 1
        out: list[Support] = []
        for node, part, mount in self.held:
            frame = self.by_id[part].frame
            if self._gutter(part) is not None:
                # A jaw's bolts lie across; what lifts it pulls along their X.
                frame = Frame.of(frame.origin, frame.y, frame.x)
            stiffness = mount_spring(self.vehicle, mount, count[mount], rigid=self.rigid)
            out.append(Support(node, stiffness, frame.x, frame.z, mount, part))
        return tuple(out)


def _pieces(part: PartId, line: Line, frames: list[Frame]) -> list[Member]:
    kind = "tube" if isinstance(line.placed.part, BentTube) else "bar"
    out: list[Member] = []
    for i in range(len(frames) - 1):
        s, t = float(line.stations[i]), float(line.stations[i + 1])
        middle = line.frame((s + t) / 2)
        out.append(
            Member(
                f"{part}#{i}", f"{part}:{i}", f"{part}:{i + 1}", kind, line.properties, line.elastic, middle.z,
                part, s, t, line.clr((s + t) / 2), mass_per_mm=line.mass_per_mm,
            )
        )  # fmt: skip
    return out


def _bead(tube: Placed) -> float:
    """Return how far beside a tube's middle the bead to the face it lies on reaches, mm."""
    part = tube.part
    if not isinstance(part, BentTube):
        return 0.0
    radius = part.section.od / 2
    return math.sqrt(radius**2 - (radius - BEAD_DEEP) ** 2)


def _arm(name: str, a: str, b: str, joint: str, at: Mapping[str, Vec]) -> Member:
    way = np.subtract(at[b], at[a])
    length = float(np.linalg.norm(way))
    up = (0.0, 0.0, 1.0) if abs(way[2]) < 0.9 * max(length, 1e-9) else (1.0, 0.0, 0.0)
    i = ARM_BENDING * length / ARM.e
    return Member(name, a, b, "link", Properties(ARM_AXIAL * length / ARM.e, i, i, 2 * i), ARM, up, joint=joint)


def _merged(model: FrameModel) -> FrameModel:
    """Return the model with nodes that an arm of no length joins made one."""
    at = {n.id: np.asarray(n.at) for n in model.nodes}
    root: dict[str, str] = {}

    def top(node: str) -> str:
        while node in root:
            node = root[node]
        return node

    kept: list[Member] = []
    for m in model.members:
        if m.kind == "link" and float(np.linalg.norm(at[m.a] - at[m.b])) < ONE_PLACE:
            a, b = top(m.a), top(m.b)
            if a != b:
                root[b] = a
        else:
            kept.append(m)
    members = tuple(replace(m, a=top(m.a), b=top(m.b)) for m in kept if top(m.a) != top(m.b))
    masses: dict[str, float] = defaultdict(float)
    for lump in model.lumps:
        masses[top(lump.node)] += lump.mass
    return FrameModel(
        tuple(n for n in model.nodes if n.id not in root),
        members,
        tuple(replace(s, node=top(s.node)) for s in model.supports),
        tuple(Lump(node, mass) for node, mass in sorted(masses.items())),
    )
