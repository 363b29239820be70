// Strength on the tubes: every piece as it was reckoned, coloured in steps by what is used of it or how it is bent.
import { BufferAttribute, BufferGeometry, Color, DoubleSide, Mesh, MeshLambertMaterial, Vector3 } from "three";

const ROUND = 14;

export class Loads {
  constructor(data, rack) {
    this.data = data;
    this.rack = rack;
    this.bands = data.bands.map((b) => ({ to: b.to ?? Infinity, hue: new Color().setRGB(...b.colour, "srgb") }));
    this.tubes = new Set(data.tubes.map((t) => t.part));
    this.shown = new Mesh(new BufferGeometry(), new MeshLambertMaterial({ vertexColors: true, side: DoubleSide }));
    this.shown.visible = false;
    this.shown.frustumCulled = false;
    rack.group.add(this.shown);
  }

  /** The most that is used of a part, undefined where nothing of it is checked. */
  most(part) {
    const tube = this.data.tubes.find((t) => t.part === part);
    return tube ? Math.max(...tube.pieces.map((p) => p.use)) : this.data.flat[part];
  }

  hue(share) {
    return this.bands.find((b) => share <= b.to).hue;
  }

  /** Draw the tubes by "use" or "moment", bent or straight. */
  draw(by, bent) {
    const times = bent ? this.data.times : 0;
    const nodes = this.data.nodes.map((n, k) => new Vector3(...n).addScaledVector(new Vector3(...this.data.moved[k]), times));
    const position = [], normal = [], colour = [], index = [];
    this.owners = [];
    for (const tube of this.data.tubes) {
      const part = this.rack.parts[this.rack.byId.get(tube.part)];
      const away = part.away.clone().multiplyScalar(this.rack.spread);
      const line = [tube.pieces[0].a, ...tube.pieces.map((p) => p.b)].map((n) => nodes[n].clone().add(away));
      let aside = null;
      const rings = line.map((at, k) => {
        const before = line[Math.max(0, k - 1)], after = line[Math.min(line.length - 1, k + 1)];
        const way = after.clone().sub(before).normalize();
        if (!aside) aside = Math.abs(way.z) < 0.9 ? new Vector3(0, 0, 1) : new Vector3(1, 0, 0);
        aside = aside.clone().addScaledVector(way, -aside.dot(way)).normalize();
        const up = way.clone().cross(aside);
        return { at, aside, up };
      });
      tube.pieces.forEach((piece, k) => {
        const hue = this.hue(piece[by]);
        const first = position.length / 3;
        for (const ring of [rings[k], rings[k + 1]]) {
          for (let i = 0; i < ROUND; i++) {
            const a = (2 * Math.PI * i) / ROUND;
            const out = ring.aside.clone().multiplyScalar(Math.cos(a)).addScaledVector(ring.up, Math.sin(a));
            position.push(...ring.at.clone().addScaledVector(out, tube.radius).toArray());
            normal.push(...out.toArray());
            colour.push(hue.r, hue.g, hue.b);
          }
        }
        for (let i = 0; i < 2 * ROUND; i++) this.owners.push(tube.part);
        for (let i = 0; i < ROUND; i++) {
          const j = (i + 1) % ROUND;
          index.push(first + i, first + j, first + ROUND + i, first + j, first + ROUND + j, first + ROUND + i);
        }
      });
    }
    const shape = new BufferGeometry();
    shape.setAttribute("position", new BufferAttribute(new Float32Array(position), 3));
    shape.setAttribute("normal", new BufferAttribute(new Float32Array(normal), 3));
    shape.setAttribute("color", new BufferAttribute(new Float32Array(colour), 3));
    shape.setIndex(index);
    this.shown.geometry.dispose();
    this.shown.geometry = shape;
  }
}
