// The rack as a scene: a mesh with its instances for each mark, all edges as three sets of lines, roof and keep-outs.
import {
  BufferAttribute, BufferGeometry, Color, DoubleSide, FrontSide, Group, InstancedMesh, LineBasicMaterial, LineSegments,
  Matrix4, Mesh, MeshLambertMaterial, Vector3,
} from "three";
import { geometry, mesh, rows } from "./unpack.js";

export class Rack {
  constructor(data) {
    this.data = data;
    this.group = new Group();
    this.spread = 0;
    this.parts = data.parts.map((p) => ({
      ...p,
      base: matrix(p.place),
      away: new Vector3(...p.away),
      slot: 0,
    }));
    this.byId = new Map(this.parts.map((p, n) => [p.id, n]));
    this.marks = data.marks.map((m, n) => this.#mark(m, n));
    this.lines = ["made", "bought", "fine"].map((kind) => this.#lines(kind));
    this.paint = null;
    this.chosen = -1;
    this.apply(0);
  }

  #mark(m, n) {
    const own = this.parts.filter((p) => p.mark === n);
    own.forEach((p, slot) => (p.slot = slot));
    const clear = m.kind === "mesh";
    const material = new MeshLambertMaterial({
      transparent: clear, opacity: clear ? 0.5 : 1, depthWrite: !clear,
      polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1,
    });
    material.onBeforeCompile = sawn;
    const shown = new InstancedMesh(geometry(mesh(m.mesh)), material, own.length);
    shown.frustumCulled = false;
    shown.userData.mark = n;
    own.forEach((p) => shown.setColorAt(p.slot, new Color(1, 1, 1)));
    this.group.add(shown);
    return { ...m, shown, own, hue: new Color().setRGB(...m.colour, "srgb") };
  }

  #lines(kind) {
    const of = (m) => (m.kind === "bought" ? "bought" : m.kind === "mesh" ? "fine" : "made");
    const base = [], part = [];
    const p = new Vector3();
    this.marks.forEach((m) => {
      if (of(m) !== kind) return;
      const own = rows(m.edges);
      for (const one of m.own) {
        const number = this.byId.get(one.id);
        for (const row of own) {
          for (let k = 0; k + 5 < row.length; k += 3) {
            for (const at of [k, k + 3]) {
              p.set(row[at], row[at + 1], row[at + 2]).applyMatrix4(one.base);
              base.push(p.x, p.y, p.z);
              part.push(number);
            }
          }
        }
      }
    });
    const shape = new BufferGeometry();
    shape.setAttribute("position", new BufferAttribute(new Float32Array(base), 3));
    const shown = new LineSegments(shape, new LineBasicMaterial({ transparent: kind === "fine", opacity: kind === "fine" ? 0.45 : 1 }));
    shown.frustumCulled = false;
    shown.visible = base.length > 0;
    this.group.add(shown);
    return { kind, shown, base: new Float32Array(base), part };
  }

  /** Pull the rack apart: 0 as it is, 1 wholly. */
  apply(spread) {
    this.spread = spread;
    const here = new Matrix4();
    for (const m of this.marks) {
      for (const p of m.own) m.shown.setMatrixAt(p.slot, this.place(p, here));
      m.shown.instanceMatrix.needsUpdate = true;
      m.shown.boundingSphere = null;
    }
    for (const set of this.lines) moveAll(set, this.parts, spread);
  }

  place(part, into = new Matrix4()) {
    into.copy(part.base);
    into.elements[12] += this.spread * part.away.x;
    into.elements[13] += this.spread * part.away.y;
    into.elements[14] += this.spread * part.away.z;
    return into;
  }

  /** Middle of a part where it now is. */
  middle(number) {
    const part = this.parts[number];
    const shape = this.marks[part.mark].shown.geometry;
    if (!shape.boundingSphere) shape.computeBoundingSphere();
    return shape.boundingSphere.center.clone().applyMatrix4(this.place(part));
  }

  /** A place on a part near its middle, where its name stands: a hoop's middle is in the air. */
  spot(number) {
    const part = this.parts[number];
    const shape = this.marks[part.mark].shown.geometry;
    if (!shape.userData.spot) {
      if (!shape.boundingSphere) shape.computeBoundingSphere();
      const { position } = shape.attributes, p = new Vector3(), best = new Vector3();
      let least = Infinity;
      for (let i = 0; i < position.count; i++) {
        const off = p.fromBufferAttribute(position, i).distanceToSquared(shape.boundingSphere.center);
        if (off < least) {
          least = off;
          best.copy(p);
        }
      }
      shape.userData.spot = best;
    }
    return shape.userData.spot.clone().applyMatrix4(this.place(part));
  }

  radius(number) {
    const shape = this.marks[this.parts[number].mark].shown.geometry;
    if (!shape.boundingSphere) shape.computeBoundingSphere();
    return shape.boundingSphere.radius;
  }

  /** Colour every part by a rule; what is chosen stands out. */
  recolour(rule, look) {
    this.paint = rule;
    for (const m of this.marks) {
      for (const p of m.own) {
        const number = this.byId.get(p.id);
        const hue = number === this.chosen ? look.chosen : rule(p, m);
        m.shown.setColorAt(p.slot, hue);
      }
      m.shown.instanceColor.needsUpdate = true;
    }
    for (const set of this.lines) set.shown.material.color.copy(set.kind === "fine" ? look.fine : look.ink);
  }

  show({ bought, edges }) {
    for (const m of this.marks) if (m.kind === "bought") m.shown.visible = bought;
    for (const set of this.lines) set.shown.visible = edges && set.base.length > 0 && (bought || set.kind !== "bought");
  }

  cut(planes) {
    for (const m of this.marks) {
      m.shown.material.clippingPlanes = planes;
      m.shown.material.side = planes.length ? DoubleSide : FrontSide;
      m.shown.material.needsUpdate = true;
    }
    for (const set of this.lines) set.shown.material.clippingPlanes = planes;
  }
}

/** Base positions moved by what each one's part is moved by. */
export function moveAll(set, parts, spread) {
  const to = set.shown.geometry.attributes.position;
  const { base, part } = set;
  for (let i = 0; i < part.length; i++) {
    const away = parts[part[i]].away;
    to.array[3 * i] = base[3 * i] + spread * away.x;
    to.array[3 * i + 1] = base[3 * i + 1] + spread * away.y;
    to.array[3 * i + 2] = base[3 * i + 2] + spread * away.z;
  }
  to.needsUpdate = true;
}

// A closed body that is sawn through shows the inside of its far wall: painted flat, that looks like the sawn face.
function sawn(shader) {
  shader.fragmentShader = shader.fragmentShader.replace(
    "#include <dithering_fragment>",
    "#include <dithering_fragment>\n if (!gl_FrontFacing) gl_FragColor = vec4(0.93, 0.72, 0.16, 1.0);",
  );
}

function matrix(place) {
  const [a, b, c, d, e, f, g, h, i, x, y, z] = place;
  return new Matrix4().set(a, d, g, x, b, e, h, y, c, f, i, z, 0, 0, 0, 1);
}

/** A translucent body with its lines: the roof, or what the rack stays out of. */
export function ghost(packed, edges, opacity) {
  const group = new Group();
  const skin = new Mesh(geometry(mesh(packed)), new MeshLambertMaterial({
    transparent: true, opacity, depthWrite: false, side: DoubleSide,
  }));
  skin.renderOrder = 2;
  group.add(skin);
  if (edges) {
    const points = [];
    for (const row of rows(edges)) for (let k = 0; k + 5 < row.length; k += 3) points.push(...row.subarray(k, k + 6));
    const shape = new BufferGeometry();
    shape.setAttribute("position", new BufferAttribute(new Float32Array(points), 3));
    group.add(new LineSegments(shape, new LineBasicMaterial({ transparent: true, opacity: 0.8 })));
  }
  return group;
}
