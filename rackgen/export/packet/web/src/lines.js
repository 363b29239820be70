// Lines of the view's own: overall sizes, the tape, the ring about a place, the grid for scale.
import { BufferAttribute, BufferGeometry, LineBasicMaterial, LineSegments, Vector3 } from "three";

export function segments(points, over = false) {
  const shape = new BufferGeometry();
  shape.setAttribute("position", new BufferAttribute(new Float32Array(points.flatMap((p) => p.toArray())), 3));
  const shown = new LineSegments(shape, new LineBasicMaterial({ depthTest: !over, transparent: over }));
  shown.frustumCulled = false;
  if (over) shown.renderOrder = 5;
  return shown;
}

/** Dimension lines over all, along the lower edges of a box and up one corner, with where their texts stand. */
export function sizes(box) {
  const { min, max } = box;
  const off = 60;
  const rows = [
    [new Vector3(min.x, min.y - off, min.z), new Vector3(max.x, min.y - off, min.z), new Vector3(0, 1, 0)],
    [new Vector3(min.x - off, min.y, min.z), new Vector3(min.x - off, max.y, min.z), new Vector3(1, 0, 0)],
    [new Vector3(min.x - off, min.y - off, min.z), new Vector3(min.x - off, min.y - off, max.z), new Vector3(0.7, 0.7, 0)],
  ];
  const points = [];
  for (const [a, b, way] of rows) {
    points.push(a, b);
    for (const end of [a, b]) points.push(end.clone().addScaledVector(way, -20), end.clone().addScaledVector(way, off));
  }
  return { shown: segments(points), middles: rows.map(([a, b]) => a.clone().add(b).multiplyScalar(0.5)) };
}

/** A grid of squares below a box. */
export function grid(box, square) {
  const points = [];
  const z = box.min.z - 1;
  const low = [box.min.x, box.min.y].map((v) => Math.floor(v / square - 1) * square);
  const high = [box.max.x, box.max.y].map((v) => Math.ceil(v / square + 1) * square);
  for (let x = low[0]; x <= high[0] + 1; x += square) points.push(new Vector3(x, low[1], z), new Vector3(x, high[1], z));
  for (let y = low[1]; y <= high[1] + 1; y += square) points.push(new Vector3(low[0], y, z), new Vector3(high[0], y, z));
  return segments(points);
}

/** Three rings about a place, so that it is seen from everywhere. */
export function ring(at, radius) {
  const points = [];
  for (let axis = 0; axis < 3; axis++) {
    for (let k = 0; k < 48; k++) {
      for (const step of [k, k + 1]) {
        const a = (2 * Math.PI * step) / 48;
        const p = [0, 0, 0];
        p[(axis + 1) % 3] = radius * Math.cos(a);
        p[(axis + 2) % 3] = radius * Math.sin(a);
        points.push(new Vector3(...p).add(at));
      }
    }
  }
  return segments(points, true);
}

/** A cross at a picked point and the line of the tape. */
export function tape(points) {
  const out = [];
  for (const p of points) {
    for (let axis = 0; axis < 3; axis++) {
      const d = new Vector3().setComponent(axis, 14);
      out.push(p.clone().add(d), p.clone().sub(d));
    }
  }
  if (points.length === 2) out.push(points[0], points[1]);
  return segments(out, true);
}
