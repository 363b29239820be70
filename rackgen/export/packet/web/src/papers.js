// The papers beside the view: what is ticked and written stays in this browser, files are saved, light or dark, print.
import { bytes } from "./unpack.js";

export function keep(revision) {
  const key = `rackgen-${revision}`;
  let kept = {};
  try {
    kept = JSON.parse(localStorage.getItem(key) ?? "{}");
  } catch {
    kept = {};
  }
  document.querySelectorAll("#papers input[data-keep]").forEach((input) => {
    const name = input.dataset.keep;
    const tick = input.type === "checkbox";
    if (name in kept) tick ? (input.checked = kept[name]) : (input.value = kept[name]);
    input.addEventListener("change", () => {
      kept[name] = tick ? input.checked : input.value;
      try {
        localStorage.setItem(key, JSON.stringify(kept));
      } catch {
        // A browser that keeps nothing for files still shows and prints what is written.
      }
    });
  });
}

export function theme(change) {
  const button = document.getElementById("theme");
  const root = document.documentElement;
  const dark = () => (root.dataset.theme ?? (matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light")) === "dark";
  const say = () => (button.textContent = dark() ? "Light" : "Dark");
  button.addEventListener("click", () => {
    root.dataset.theme = dark() ? "light" : "dark";
    say();
    change();
  });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
    say();
    change();
  });
  say();
}

export function files(said) {
  held();
  document.querySelectorAll("button[data-save]").forEach((button) => {
    button.addEventListener("click", async () => {
      const name = button.dataset.save;
      const holder = document.getElementById(button.dataset.from);
      if (typeof DecompressionStream === "undefined") {
        said("This browser cannot unpack files: open the packet in a newer one, or take the file from the pack's folder.");
        return;
      }
      const stream = new Blob([bytes(holder.textContent)]).stream().pipeThrough(new DecompressionStream("deflate"));
      const url = URL.createObjectURL(await new Response(stream).blob());
      const link = document.createElement("a");
      link.href = url;
      link.download = name;
      link.click();
      setTimeout(() => URL.revokeObjectURL(url), 60000);
      said(`${name} is saved with the browser's downloads.`);
    });
  });
}

/** A link to a file that the packet holds itself saves that; others lead to the pack's folder. */
function held() {
  document.querySelectorAll("a.file").forEach((link) => {
    const save = [...document.querySelectorAll("button[data-save]")].find((b) => b.dataset.save === link.dataset.file);
    if (!save) return;
    link.addEventListener("click", (e) => {
      e.preventDefault();
      save.click();
    });
  });
}

/** What is wider than its place can be rolled sideways by keys, too. */
function rolling() {
  document.querySelectorAll(".roll").forEach((roll) => {
    if (roll.scrollWidth > roll.clientWidth + 1) {
      roll.tabIndex = 0;
      roll.setAttribute("role", "group");
      roll.setAttribute("aria-label", roll.querySelector("caption")?.textContent ?? "table");
    } else roll.removeAttribute("tabindex");
  });
}

export function folding() {
  const all = [...document.querySelectorAll("#papers details")];
  all.forEach((d) => d.addEventListener("toggle", rolling));
  window.addEventListener("resize", rolling);
  document.getElementById("open-all")?.addEventListener("click", () => all.forEach((d) => (d.open = true)));
  document.getElementById("close-all")?.addEventListener("click", () => all.forEach((d) => (d.open = false)));
  const show = () => {
    const target = location.hash.length > 1 ? document.getElementById(decodeURIComponent(location.hash.slice(1))) : null;
    const sheet = target?.closest("details") ?? target?.querySelector("details");
    if (sheet) sheet.open = true;
    target?.scrollIntoView();
  };
  window.addEventListener("hashchange", show);
  document.querySelectorAll("nav a").forEach((a) => a.addEventListener("click", () => setTimeout(show)));
  show();
  let shut = [];
  window.addEventListener("beforeprint", () => {
    shut = all.filter((d) => d.classList.contains("station") && !d.open);
    shut.forEach((d) => (d.open = true));
  });
  window.addEventListener("afterprint", () => shut.forEach((d) => (d.open = false)));
}
