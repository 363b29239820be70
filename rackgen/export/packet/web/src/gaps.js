// The gap map: its places laid on the roof in the bands' colours, and the colour of every part by its own least gap.
import { BufferAttribute, BufferGeometry, Color, DoubleSide, Mesh, MeshBasicMaterial } from "three";
import { mesh } from "./unpack.js";

export class GapMap {
  constructor(data) {
    this.data = data;
    this.hues = data.bands.map((b) => new Color().setStyle(b.colour));
    const { corners, faces } = mesh(data.mesh);
    const position = new Float32Array(3 * faces.length), colour = new Float32Array(3 * faces.length);
    let at = 0;
    data.counts.forEach((count, band) => {
      for (let k = 0; k < 3 * count; k++, at++) {
        position.set(corners.subarray(3 * faces[at], 3 * faces[at] + 3), 3 * at);
        this.hues[band].toArray(colour, 3 * at);
      }
    });
    const shape = new BufferGeometry();
    shape.setAttribute("position", new BufferAttribute(position, 3));
    shape.setAttribute("color", new BufferAttribute(colour, 3));
    this.shown = new Mesh(shape, new MeshBasicMaterial({ vertexColors: true, side: DoubleSide }));
    this.shown.frustumCulled = false;
    this.shown.visible = false;
  }

  /** Whether a part is wholly in the widest band. */
  far(part) {
    return this.data.parts[part] === this.hues.length - 1;
  }

  /** Colour of a part, undefined of what sits on the body or has nothing measured below it. */
  hue(part) {
    return this.hues[this.data.parts[part]];
  }
}
