// What Python packed, unpacked: base64 to arrays, and geometry with normals that keep sharp edges sharp.
import { BufferAttribute, BufferGeometry } from "three";

const SHARP = Math.cos((30 * Math.PI) / 180);

export function bytes(text) {
  const raw = atob(text);
  const out = new Uint8Array(raw.length);
  for (let i = 0; i < raw.length; i++) out[i] = raw.charCodeAt(i);
  return out;
}

/** Corners in mm and triangles of a packed mesh. */
export function mesh(packed) {
  const whole = new Uint16Array(bytes(packed.corners).buffer);
  const corners = new Float32Array(whole.length);
  for (let i = 0; i < whole.length; i++) corners[i] = packed.low[i % 3] + whole[i] * packed.step[i % 3];
  const raw = bytes(packed.faces).buffer;
  return { corners, faces: packed.wide ? new Uint32Array(raw) : new Uint16Array(raw) };
}

/** Rows of points in mm. */
export function rows(packed) {
  const points = new Float32Array(bytes(packed.points).buffer);
  const out = [];
  let at = 0;
  for (const count of packed.counts) {
    out.push(points.subarray(at, at + 3 * count));
    at += 3 * count;
  }
  return out;
}

/** Geometry of a mesh, each corner of a triangle with the normal of what is smooth about it. */
export function geometry({ corners, faces }) {
  const count = faces.length / 3;
  const flat = new Float32Array(3 * count);
  const unit = new Float32Array(3 * count);
  const first = new Uint32Array(corners.length / 3 + 1);
  for (let f = 0; f < count; f++) {
    const [a, b, c] = [3 * faces[3 * f], 3 * faces[3 * f + 1], 3 * faces[3 * f + 2]];
    const ux = corners[b] - corners[a], uy = corners[b + 1] - corners[a + 1], uz = corners[b + 2] - corners[a + 2];
    const vx = corners[c] - corners[a], vy = corners[c + 1] - corners[a + 1], vz = corners[c + 2] - corners[a + 2];
    const n = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const size = Math.hypot(...n) || 1;
    for (let k = 0; k < 3; k++) {
      flat[3 * f + k] = n[k];
      unit[3 * f + k] = n[k] / size;
      first[faces[3 * f + k] + 1]++;
    }
  }
  for (let i = 1; i < first.length; i++) first[i] += first[i - 1];
  const about = new Uint32Array(faces.length);
  const next = first.slice();
  for (let i = 0; i < faces.length; i++) about[next[faces[i]]++] = Math.floor(i / 3);
  const position = new Float32Array(9 * count);
  const normal = new Float32Array(9 * count);
  for (let i = 0; i < faces.length; i++) {
    const f = Math.floor(i / 3), v = faces[i];
    let x = 0, y = 0, z = 0;
    for (let k = first[v]; k < first[v + 1]; k++) {
      const g = about[k];
      const along = unit[3 * f] * unit[3 * g] + unit[3 * f + 1] * unit[3 * g + 1] + unit[3 * f + 2] * unit[3 * g + 2];
      if (along < SHARP) continue;
      x += flat[3 * g];
      y += flat[3 * g + 1];
      z += flat[3 * g + 2];
    }
    const size = Math.hypot(x, y, z) || 1;
    position.set(corners.subarray(3 * v, 3 * v + 3), 3 * i);
    normal.set([x / size, y / size, z / size], 3 * i);
  }
  const out = new BufferGeometry();
  out.setAttribute("position", new BufferAttribute(position, 3));
  out.setAttribute("normal", new BufferAttribute(normal, 3));
  return out;
}
