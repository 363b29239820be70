// What is known of the part in hand, as a table: its line of the cut list and the joints it has.

const row = (table, name, ...cells) => {
  const tr = table.insertRow();
  const th = document.createElement("th");
  th.scope = "row";
  th.textContent = name;
  tr.append(th);
  const td = tr.insertCell();
  td.append(...cells);
};

export function card(box, data, rack, number, used, choose) {
  box.replaceChildren();
  if (number < 0) return;
  const part = rack.parts[number], mark = rack.marks[part.mark];
  const head = document.createElement("h3");
  const big = document.createElement("strong");
  big.className = "stamp";
  big.textContent = mark.mark;
  head.append(big, ` ${mark.word}`);
  const table = document.createElement("table");
  table.className = "facts";
  row(table, "place", part.id);
  for (const [name, text] of mark.card) row(table, name, text);
  if (used !== undefined) row(table, "strength used, most", `${Math.round(100 * used)} % at ${data.loads.at} moving`);
  const own = data.joints.filter((j) => j.a === part.id || j.b === part.id);
  box.append(head, table);
  if (!own.length) return;
  const list = document.createElement("ul");
  list.className = "joints";
  for (const joint of own) {
    const other = joint.a === part.id ? joint.b : joint.a;
    const item = document.createElement("li");
    const go = document.createElement("button");
    go.type = "button";
    const at = rack.byId.get(other);
    go.textContent = `${rack.marks[rack.parts[at].mark].mark} ${other}`;
    go.addEventListener("click", () => choose(at));
    item.append(`${joint.kind}, ${joint.where === "bench" ? "on the bench" : "at the vehicle"}: `, go);
    if (joint.fixing) item.append(` ${joint.fixing}`);
    list.append(item);
  }
  const title = document.createElement("h4");
  title.textContent = own.length === 1 ? "1 joint" : `${own.length} joints`;
  box.append(title, list);
}
