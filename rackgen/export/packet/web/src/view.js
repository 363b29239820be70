// Camera, light, turning by mouse, finger and key; draws only when something changed.
import {
  Box3, DirectionalLight, HemisphereLight, PerspectiveCamera, Plane, Raycaster, Scene, Vector2, Vector3, WebGLRenderer,
} from "three";
import { OrbitControls } from "three/examples/jsm/controls/OrbitControls.js";

const WAYS = {
  "front left": [-1, -0.9, 0.62],
  "rear right": [1, 0.9, 0.62],
  side: [0, -1, 0.0001],
  front: [-1, 0, 0.0001],
  rear: [1, 0, 0.0001],
  top: [-0.0001, 0, 1],
  below: [-0.0001, 0, -1],
};

const STEP = 0.12;

export class View {
  constructor(canvas, box) {
    this.canvas = canvas;
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.localClippingEnabled = true;
    this.scene = new Scene();
    this.camera = new PerspectiveCamera(28, 1, 10, 50000);
    this.camera.up.set(0, 0, 1);
    this.lamp = new DirectionalLight(0xffffff, 2.1);
    this.scene.add(new HemisphereLight(0xffffff, 0x9a938a, 1.25), this.lamp, this.lamp.target);
    this.controls = new OrbitControls(this.camera, canvas);
    this.controls.enableDamping = false;
    this.controls.zoomToCursor = true;
    this.controls.addEventListener("change", () => this.ask());
    this.box = new Box3(new Vector3(...box[0]), new Vector3(...box[1]));
    // With room for the overall sizes beside it.
    this.framed = this.box.clone().expandByVector(new Vector3(90, 90, 0));
    this.before = [];
    this.waiting = false;
    new ResizeObserver(() => this.fit()).observe(canvas.parentElement);
    this.fit();
    this.look("front left");
  }

  get ways() {
    return Object.keys(WAYS);
  }

  fit() {
    const { clientWidth: wide, clientHeight: high } = this.canvas.parentElement;
    if (!wide || !high) return;
    this.renderer.setPixelRatio(Math.min(window.devicePixelRatio || 1, 2));
    this.renderer.setSize(wide, high, false);
    this.camera.aspect = wide / high;
    this.camera.updateProjectionMatrix();
    this.ask();
  }

  /** Look from one of the named ways so that a box fills the view. */
  look(name, box = this.framed) {
    const way = new Vector3(...WAYS[name]).normalize();
    const middle = box.getCenter(new Vector3());
    const tall = Math.tan((this.camera.fov * Math.PI) / 360), broad = tall * this.camera.aspect;
    const corners = [...Array(8).keys()].map((k) => new Vector3(
      k & 1 ? box.max.x : box.min.x, k & 2 ? box.max.y : box.min.y, k & 4 ? box.max.z : box.min.z,
    ));
    let far = 3 * box.getSize(new Vector3()).length();
    // Moved aside and nearer until the outermost corners fill the view evenly.
    for (let round = 0; round < 12; round++) {
      this.camera.position.copy(middle).addScaledVector(way, far);
      this.camera.lookAt(middle);
      this.camera.updateMatrixWorld();
      const low = [Infinity, Infinity], high = [-Infinity, -Infinity];
      for (const corner of corners) {
        const p = corner.clone().applyMatrix4(this.camera.matrixWorldInverse);
        [p.x / -p.z / broad, p.y / -p.z / tall].forEach((v, k) => {
          low[k] = Math.min(low[k], v);
          high[k] = Math.max(high[k], v);
        });
      }
      const side = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, 0);
      const up = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, 1);
      middle.addScaledVector(side, ((low[0] + high[0]) / 2) * broad * far);
      middle.addScaledVector(up, ((low[1] + high[1]) / 2) * tall * far);
      far *= (1.04 * Math.max(high[0] - low[0], high[1] - low[1])) / 2;
    }
    this.camera.position.copy(middle).addScaledVector(way, far);
    this.controls.target.copy(middle);
    this.controls.update();
    this.ask();
  }

  /** Turn to a place so that it is seen from near, from the side that is looked from now. */
  approach(point, radius) {
    const way = this.camera.position.clone().sub(this.controls.target).normalize();
    if (Math.abs(way.z) < 0.2) way.setZ(0.35).normalize();
    this.controls.target.copy(point);
    this.camera.position.copy(point).addScaledVector(way, Math.max(2.6 * radius, 900));
    this.controls.update();
    this.ask();
  }

  turn(across, up) {
    const off = this.camera.position.clone().sub(this.controls.target);
    const far = off.length();
    const round = Math.atan2(off.y, off.x) + across * STEP;
    const high = Math.min(1.569, Math.max(-1.569, Math.asin(off.z / far) + up * STEP));
    off.set(Math.cos(round) * Math.cos(high), Math.sin(round) * Math.cos(high), Math.sin(high)).multiplyScalar(far);
    this.camera.position.copy(this.controls.target).add(off);
    this.controls.update();
    this.ask();
  }

  pan(across, up) {
    const far = this.camera.position.distanceTo(this.controls.target) * 0.05;
    const move = new Vector3().setFromMatrixColumn(this.camera.matrix, 0).multiplyScalar(across * far);
    move.addScaledVector(new Vector3().setFromMatrixColumn(this.camera.matrix, 1), up * far);
    this.camera.position.add(move);
    this.controls.target.add(move);
    this.controls.update();
    this.ask();
  }

  nearer(factor) {
    const off = this.camera.position.clone().sub(this.controls.target).multiplyScalar(factor);
    this.camera.position.copy(this.controls.target).add(off);
    this.controls.update();
    this.ask();
  }

  /** Where the ray through a place of the canvas meets things, nearest first, without what is sawn away. */
  hits(x, y, things, planes) {
    const ray = new Raycaster();
    ray.setFromCamera(new Vector2(x, y), this.camera);
    return ray.intersectObjects(things, true).filter((h) => planes.every((p) => p.distanceToPoint(h.point) >= -1e-3));
  }

  /** A point on the canvas in CSS pixels, null behind the eye. */
  onScreen(point) {
    const p = point.clone().project(this.camera);
    if (p.z > 1 || p.z < -1) return null;
    const { clientWidth: wide, clientHeight: high } = this.canvas;
    return { x: ((p.x + 1) / 2) * wide, y: ((1 - p.y) / 2) * high };
  }

  ask() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.draw();
    });
  }

  draw() {
    const far = this.camera.position.distanceTo(this.controls.target);
    this.camera.near = Math.max(1, far / 100);
    this.camera.far = far * 20 + 10000;
    this.camera.updateProjectionMatrix();
    const side = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, 0);
    const up = new Vector3().setFromMatrixColumn(this.camera.matrixWorld, 1);
    this.lamp.position.copy(this.camera.position).addScaledVector(up, far * 0.5).addScaledVector(side, -far * 0.35);
    this.lamp.target.position.copy(this.controls.target);
    for (const hook of this.before) hook();
    this.renderer.render(this.scene, this.camera);
  }
}

/** The plane that saws: keeps what lies on one side of a place along an axis. */
export function saw(axis, at, other) {
  const normal = new Vector3();
  normal.setComponent(axis, other ? 1 : -1);
  return new Plane(normal, other ? -at : at);
}
