// Texts that stand at places of the rack: marks, sizes, numbers of what is used, the tape's reading.

export class Labels {
  constructor(box, view) {
    this.box = box;
    this.view = view;
    this.sets = new Map();
    view.before.push(() => this.place());
  }

  /** Replace a set of labels: each has a text, a kind, and a function that gives its place. */
  set(name, labels) {
    for (const old of this.sets.get(name) ?? []) old.node.remove();
    this.sets.set(name, labels.map((label) => {
      const node = document.createElement("span");
      node.className = `label ${label.kind}`;
      node.textContent = label.text;
      this.box.append(node);
      return { ...label, node };
    }));
    this.view.ask();
  }

  /** Paint the labels that are shown onto a picture, black on white. */
  paint(ink, scale) {
    ink.font = `${13 * scale}px sans-serif`;
    ink.textAlign = "center";
    ink.textBaseline = "middle";
    for (const set of this.sets.values()) {
      for (const { node, spot } of set) {
        if (node.hidden || !spot) continue;
        const [x, y] = [spot.x * scale, spot.y * scale];
        const wide = ink.measureText(node.textContent).width + 10 * scale;
        ink.fillStyle = "#fff";
        ink.fillRect(x - wide / 2, y - 10 * scale, wide, 20 * scale);
        ink.strokeRect(x - wide / 2, y - 10 * scale, wide, 20 * scale);
        ink.fillStyle = "#000";
        ink.fillText(node.textContent, x, y);
      }
    }
  }

  place() {
    const { clientWidth: wide, clientHeight: high } = this.box;
    const taken = [];
    for (const set of this.sets.values()) {
      for (const label of set) {
        const { node, at, kind } = label;
        const p = this.view.onScreen(at());
        let out = !p || p.x < 0 || p.y < 0 || p.x > wide || p.y > high;
        if (!out) {
          const half = 4 + node.textContent.length * 3.6;
          const x = Math.min(wide - half - 2, Math.max(half + 2, p.x));
          let y = Math.min(high - 12, Math.max(12, p.y));
          const on = () => taken.some((t) => Math.abs(t.x - x) < t.half + half && Math.abs(t.y - y) < 19);
          // Of marks that would stand on another label only the first is shown; others are moved up.
          if (kind === "mark") out = on();
          else for (let step = 0; step < 12 && on() && y > 24; step++) y -= 10;
          if (!out) taken.push({ x, y, half });
          label.spot = { x, y };
          node.style.transform = `translate(-50%, -50%) translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
        }
        node.hidden = out;
      }
    }
  }
}
