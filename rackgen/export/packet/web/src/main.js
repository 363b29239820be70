// The live view: reads what Python wrote into the page, and ties view, parts, tools and papers together.
import { Box3, Color, Matrix4, Vector3 } from "three";
import { card } from "./card.js";
import { Labels } from "./labels.js";
import { length } from "./lengths.js";
import { grid, ring, sizes, tape } from "./lines.js";
import { GapMap } from "./gaps.js";
import { Loads } from "./loads.js";
import { files, folding, keep, theme } from "./papers.js";
import { ghost, Rack } from "./rack.js";
import { saw, View } from "./view.js";

const by = (id) => document.getElementById(id);
const data = JSON.parse(by("rack-data").textContent);
const status = (text) => (by("said").textContent = text);

keep(data.revision);
folding();
files(status);
start();

function start() {
  let view;
  try {
    view = new View(by("canvas"), data.size);
  } catch (error) {
    document.body.classList.add("no-view");
    status("This browser or machine draws no 3-D (WebGL): the drawing stands in its place, and every sheet is below.");
    theme(() => {});
    document.body.dataset.ready = "without";
    return;
  }
  document.body.classList.add("live");
  live(view);
}

function live(view) {
  const rack = new Rack(data);
  const labels = new Labels(by("labels"), view);
  view.scene.add(rack.group);
  const box = view.box;
  const roof = ghost(data.roof.mesh, data.roof.edges, 0.3);
  const out = data.stay_out.map((o) => ghost(o.mesh, null, 0.28));
  const over = sizes(box);
  const floor = grid(box, data.unit === "mm" ? 100 : 101.6);
  view.scene.add(roof, ...out, over.shown, floor);
  const loads = data.loads ? new Loads(data.loads, rack) : null;
  const gaps = data.gaps ? new GapMap(data.gaps) : null;
  if (gaps) view.scene.add(gaps.shown);
  const state = { planes: [], taping: false, tape: [], spot: null, marks: [] };

  const colour = (name) => new Color().setStyle(getComputedStyle(document.documentElement).getPropertyValue(name).trim());
  const look = () => ({ chosen: colour("--hand"), ink: colour("--edge"), fine: colour("--edge") });

  // Colours -----------------------------------------------------------------------------------------------------
  const choice = (name) => document.querySelector(`input[name="${name}"]:checked`)?.value;
  const stages = ["--stage-0", "--stage-1", "--stage-2", "--stage-3"];
  function recolour() {
    const way = choice("colour");
    const strong = loads && (way === "use" || way === "moment");
    const grey = colour("--grey");
    const tints = stages.map(colour);
    let rule = (p, m) => m.hue;
    if (way === "stage") rule = (p, m) => tints[m.stage];
    if (way === "gap") rule = (p) => gaps.hue(p.id) ?? grey;
    if (strong) rule = (p) => (way === "use" && p.id in loads.data.flat ? loads.hue(loads.data.flat[p.id]) : grey);
    rack.recolour(rule, look());
    const bent = strong && by("bent").checked;
    // What is farthest from the roof would hide the gap map from above: it is shown by its edges alone.
    const away = (p) => (strong ? loads.tubes.has(p.id) : way === "gap" && gaps.far(p.id));
    for (const m of rack.marks) {
      m.shown.visible = (m.kind !== "bought" || by("show-bought").checked) && !bent && !m.own.every(away);
    }
    if (loads) {
      loads.shown.visible = strong;
      if (strong) loads.draw(way, bent);
      // Bent, what stands still is shown by its edges alone.
      rack.lines[0].shown.visible = by("show-edges").checked && (bent || !strong);
      rack.lines[1].shown.visible = by("show-edges").checked && by("show-bought").checked && !bent;
      by("bent-row").hidden = !strong;
    }
    if (gaps) gaps.shown.visible = way === "gap";
    roof.children.forEach((c) => c.material.color.copy(colour("--roof")));
    out.forEach((g) => g.children.forEach((c) => c.material.color.copy(colour("--stay-out"))));
    over.shown.material.color.copy(colour("--blue"));
    floor.material.color.copy(colour("--grid"));
    if (state.spot) state.spot.material.color.copy(colour("--hand"));
    legend(way);
    const listed = strong && way === "use" ? loads.data.listed : [];
    labels.set("listed", listed.map((u, n) => ({
      text: `${n + 1}: ${u.used}`, kind: "use", at: () => shifted(u.at, rack.byId.get(u.parts[0])),
    })));
    by("listed").hidden = !(strong && way === "use");
    const low = way === "gap" && !rack.spread;
    labels.set("tight", !low ? [] : gaps.data.tight.map((g, n) => ({
      text: `${n + 1}: ${g.gap}`, kind: "use", at: () => new Vector3(...g.at),
    })));
    labels.set("letters", !low ? [] : gaps.data.letters.map((l) => ({
      text: l.text, kind: "mark", at: () => new Vector3(...l.at),
    })));
    by("tight").hidden = way !== "gap";
    view.ask();
  }
  const shifted = (at, number) => {
    const p = new Vector3(...at);
    return number === undefined ? p : p.addScaledVector(rack.parts[number].away, rack.spread);
  };

  function legend(way) {
    const key = by("legend");
    key.replaceChildren();
    const entry = (hue, text) => {
      const item = document.createElement("li");
      const chip = document.createElement("span");
      chip.className = "chip";
      chip.style.background = typeof hue === "string" ? hue : `#${hue.getHexString()}`;
      item.append(chip, text);
      key.append(item);
    };
    if (way === "gap") gaps.data.bands.forEach((b) => entry(b.colour, b.words));
    else if (way === "stage") data.stages.forEach(([n, text]) => entry(`var(--stage-${n})`, text));
    else if (loads && way !== "kind") {
      const words = way === "use" ? loads.data.use_words : loads.data.moment_words;
      loads.bands.forEach((b, k) => entry(b.hue, words[k]));
    } else {
      const seen = new Map();
      rack.marks.forEach((m) => seen.has(m.kind) || seen.set(m.kind, m.hue));
      seen.forEach((hue, kind) => entry(hue, data.kinds[kind]));
    }
    const told = { use: data.loads?.use_told, moment: data.loads?.moment_told, gap: data.gaps?.told }[way];
    by("told").textContent = told ?? "";
  }
  document.querySelectorAll('input[name="colour"]').forEach((i) => i.addEventListener("change", recolour));
  by("bent")?.addEventListener("change", recolour);

  // Part in hand ------------------------------------------------------------------------------------------------
  const list = by("which");
  function choose(number, near = false) {
    rack.chosen = number;
    list.value = number < 0 ? "" : String(number);
    card(by("card"), data, rack, number, loads?.most(rack.parts[number]?.id), (n) => choose(n));
    by("near").disabled = by("release").disabled = number < 0;
    if (number < 0) spot(null);
    labels.set("chosen", number < 0 ? [] : [{
      text: rack.marks[rack.parts[number].mark].mark, kind: "hand", at: () => rack.spot(number),
    }]);
    if (near && number >= 0) view.approach(rack.middle(number), rack.radius(number));
    recolour();
  }
  list.addEventListener("change", () => choose(list.value === "" ? -1 : Number(list.value)));
  by("near").addEventListener("click", () => choose(rack.chosen, true));
  by("release").addEventListener("click", () => choose(-1));

  // Picking and the tape ----------------------------------------------------------------------------------------
  const solid = () => [...rack.marks.map((m) => m.shown), loads?.shown].filter((s) => s && s.visible);
  function pick(x, y) {
    const things = state.taping ? [...solid(), ...(roof.visible ? [roof.children[0]] : [])] : solid();
    const hits = view.hits(x, y, things, state.planes);
    if (state.taping) {
      if (hits.length) measure(snapped(hits[0], x, y));
      return;
    }
    // What can be seen through is picked where nothing solid lies behind it.
    const firm = hits.find((h) => h.object.userData.mark === undefined || rack.marks[h.object.userData.mark].kind !== "mesh");
    const hit = firm ?? hits[0];
    if (!hit) return choose(-1);
    const mark = hit.object.userData.mark;
    choose(rack.byId.get(mark === undefined ? loads.owners[hit.faceIndex] : rack.marks[mark].own[hit.instanceId].id));
  }

  /** The corner of a part within a finger's breadth of where the tape was put, else the place itself. */
  function snapped(hit, x, y) {
    const mark = hit.object.userData.mark;
    if (mark === undefined) return hit.point;
    const here = rack.place(rack.marks[mark].own[hit.instanceId], new Matrix4());
    const position = hit.object.geometry.attributes.position;
    const eye = view.onScreen(hit.point);
    let best = hit.point, least = 9;
    const p = new Vector3();
    for (let i = 0; i < position.count; i++) {
      p.fromBufferAttribute(position, i).applyMatrix4(here);
      if (p.distanceToSquared(hit.point) > 1600) continue;
      const s = view.onScreen(p);
      if (!s) continue;
      const off = Math.hypot(s.x - eye.x, s.y - eye.y);
      if (off < least) {
        least = off;
        best = p.clone();
      }
    }
    return best;
  }

  let taped = null;
  function measure(point) {
    if (state.tape.length === 2) state.tape = [];
    if (point) state.tape.push(point);
    if (taped) view.scene.remove(taped);
    taped = state.tape.length ? tape(state.tape) : null;
    if (taped) {
      taped.material.color.copy(colour("--hand"));
      view.scene.add(taped);
    }
    const say = (mm) => `${length(mm, data.unit)} ${data.unit}`;
    if (state.tape.length === 2) {
      const [a, b] = state.tape, d = b.clone().sub(a);
      by("reading").textContent =
        `${say(d.length())} straight; ${say(Math.abs(d.x))} fore and aft, ${say(Math.abs(d.y))} across, ${say(Math.abs(d.z))} up`;
      labels.set("tape", [{ text: say(d.length()), kind: "hand", at: () => a.clone().add(b).multiplyScalar(0.5) }]);
    } else {
      labels.set("tape", []);
      by("reading").textContent = state.taping
        ? state.tape.length ? "Now the other end." : "Put the tape's end on the rack: click, tap, or Enter at the cross."
        : "";
    }
    view.ask();
  }
  by("tape").addEventListener("click", () => {
    state.taping = !state.taping;
    state.tape = [];
    by("tape").setAttribute("aria-pressed", String(state.taping));
    view.canvas.classList.toggle("taping", state.taping);
    measure(null);
  });

  let down = null;
  view.canvas.addEventListener("pointerdown", (e) => (down = { x: e.clientX, y: e.clientY }));
  view.canvas.addEventListener("pointerup", (e) => {
    if (!down || e.button !== 0 || Math.hypot(e.clientX - down.x, e.clientY - down.y) > 6) return;
    const r = view.canvas.getBoundingClientRect();
    pick(((e.clientX - r.left) / r.width) * 2 - 1, 1 - ((e.clientY - r.top) / r.height) * 2);
  });

  const keys = {
    ArrowLeft: (e) => (e.shiftKey ? view.pan(-1, 0) : view.turn(-1, 0)),
    ArrowRight: (e) => (e.shiftKey ? view.pan(1, 0) : view.turn(1, 0)),
    ArrowUp: (e) => (e.shiftKey ? view.pan(0, 1) : view.turn(0, 1)),
    ArrowDown: (e) => (e.shiftKey ? view.pan(0, -1) : view.turn(0, -1)),
    "+": () => view.nearer(0.85),
    "=": () => view.nearer(0.85),
    "-": () => view.nearer(1 / 0.85),
    Enter: () => pick(0, 0),
    Escape: () => choose(-1),
    Home: () => view.look("front left"),
    n: () => choose((rack.chosen + 1) % rack.parts.length),
    p: () => choose((Math.max(0, rack.chosen) - 1 + rack.parts.length) % rack.parts.length),
  };
  view.canvas.addEventListener("keydown", (e) => {
    const does = keys[e.key];
    if (!does || e.ctrlKey || e.altKey || e.metaKey) return;
    e.preventDefault();
    does(e);
  });

  // Tools -------------------------------------------------------------------------------------------------------
  document.querySelectorAll("button[data-look]").forEach((b) => b.addEventListener("click", () => {
    const now = rack.spread ? box.clone() : view.framed.clone();
    if (rack.spread) rack.parts.forEach((p) => now.expandByPoint(rack.middle(rack.byId.get(p.id))));
    view.look(b.dataset.look, now);
  }));
  const bar = by("apart");
  bar.addEventListener("input", () => {
    rack.apply(Number(bar.value) / 100);
    bar.setAttribute("aria-valuetext", `${bar.value} %`);
    over.shown.visible = by("show-sizes").checked && !rack.spread;
    sized();
    spot(null);
    recolour();
  });
  let sawFlip = false;
  function sawing(chosen) {
    const axis = { across: 0, along: 1, level: 2 }[choice("saw")];
    // What stands before the eye is taken away, so that the sawn face is seen.
    if (chosen && axis !== undefined) {
      sawFlip = view.camera.position.getComponent(axis) < view.controls.target.getComponent(axis);
    }
    const slide = by("saw-at");
    slide.disabled = by("saw-other").disabled = axis === undefined;
    state.planes = [];
    if (axis !== undefined) {
      const reach = [box.min.getComponent(axis), box.max.getComponent(axis)];
      const at = reach[0] + ((reach[1] - reach[0]) * Number(slide.value)) / 100;
      state.planes = [saw(axis, at, by("saw-other").checked !== sawFlip)];
      const way = ["aft of the datum", "right of the middle", "up"][axis];
      slide.setAttribute("aria-valuetext", `${length(at, data.unit)} ${data.unit} ${way}`);
      by("saw-said").textContent = `at ${length(at, data.unit)} ${data.unit} ${way}`;
    } else by("saw-said").textContent = "";
    rack.cut(state.planes);
    if (loads) loads.shown.material.clippingPlanes = state.planes;
    view.ask();
  }
  document.querySelectorAll('input[name="saw"]').forEach((i) => i.addEventListener("change", () => sawing(true)));
  ["saw-at", "saw-other"].forEach((id) => by(id).addEventListener("input", () => sawing(false)));

  function sized() {
    const shown = by("show-sizes").checked && !rack.spread;
    over.shown.visible = shown;
    labels.set("sizes", shown ? data.sizes.map((text, k) => ({ text, kind: "size", at: () => over.middles[k] })) : []);
  }
  function marked() {
    const first = rack.marks.filter((m) => by("show-bought").checked || m.kind !== "bought");
    labels.set("marks", !by("show-marks").checked ? [] : first.map((m) => ({
      text: m.mark, kind: "mark", at: () => rack.spot(rack.byId.get(m.own[0].id)),
    })));
  }
  function showing() {
    roof.visible = by("show-roof").checked;
    out.forEach((g) => (g.visible = by("show-stay-out").checked));
    floor.visible = by("show-grid").checked;
    rack.show({ bought: by("show-bought").checked, edges: by("show-edges").checked });
    sized();
    marked();
    labels.set("stay-out", !by("show-stay-out").checked ? [] : data.stay_out.map((o, k) => ({
      text: o.name, kind: "out", at: () => middle(out[k]),
    })));
    recolour();
  }
  const middle = (group) => new Box3().setFromObject(group).getCenter(new Vector3());
  document.querySelectorAll('input[id^="show-"]').forEach((i) => i.addEventListener("change", showing));

  // Links from the papers ---------------------------------------------------------------------------------------
  function spot(at) {
    if (state.spot) view.scene.remove(state.spot);
    state.spot = at ? ring(at, 45) : null;
    if (state.spot) {
      state.spot.material.color.copy(colour("--hand"));
      view.scene.add(state.spot);
    }
    view.ask();
  }
  function point(at, parts) {
    const number = parts.map((p) => rack.byId.get(p)).find((n) => n !== undefined) ?? -1;
    choose(number);
    const place = at ? shifted(at, number < 0 ? undefined : number) : number < 0 ? null : rack.middle(number);
    spot(at ? place : null);
    if (place) view.approach(place, 300);
    by("bench").scrollIntoView({ block: "start" });
    view.canvas.focus({ preventScroll: true });
  }
  document.querySelectorAll("button[data-finding]").forEach((b) => b.addEventListener("click", () => {
    const f = data.findings[Number(b.dataset.finding)];
    point(f.at, f.parts);
  }));
  document.querySelectorAll("button[data-listed]").forEach((b) => b.addEventListener("click", () => {
    const u = loads.data.listed[Number(b.dataset.listed)];
    point(u.at, u.parts);
  }));
  document.querySelectorAll("button[data-tight]").forEach((b) => b.addEventListener("click", () => {
    const g = data.gaps.tight[Number(b.dataset.tight)];
    point(g.at, [g.part]);
  }));
  document.querySelectorAll("button[data-mark]").forEach((b) => b.addEventListener("click", () => {
    const m = rack.marks.find((one) => one.mark === b.dataset.mark);
    point(null, [m.own[0].id]);
  }));

  // Print: the view as it stands, on white ----------------------------------------------------------------------
  window.addEventListener("beforeprint", () => {
    const root = document.documentElement, before = root.dataset.theme;
    root.dataset.theme = "light";
    recolour();
    view.draw();
    const paper = document.createElement("canvas");
    [paper.width, paper.height] = [view.canvas.width, view.canvas.height];
    const ink = paper.getContext("2d");
    ink.fillStyle = "#fff";
    ink.fillRect(0, 0, paper.width, paper.height);
    ink.drawImage(view.canvas, 0, 0);
    labels.paint(ink, paper.width / view.canvas.clientWidth);
    by("shot").src = paper.toDataURL("image/png");
    document.body.classList.add("shot");
    if (before === undefined) delete root.dataset.theme;
    else root.dataset.theme = before;
    recolour();
  });

  theme(recolour);
  choose(-1);
  showing();
  sawing(true);
  view.draw();
  document.body.dataset.ready = "yes";
  // For tests and for whoever opens the console: what was drawn, and the parts' places.
  window.rackView = { view, rack, choose, length, point: (p) => new Vector3(...p), info: () => view.renderer.info.render };
}
