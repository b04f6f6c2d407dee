// The plain buttons below a chart: larger, and taken away as picture or as its values.
import { legible, rowsOf } from "./chart_values.js";

// What a spreadsheet would run as a formula gets an apostrophe in front, as in every table that leaves (files/formulas.py).
const risky = /^['\s\u200b\u2060]*[=+\-@＝＋－＠]/;
const number = /^\s*[+-]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?\s*%?$/i;
const neutral = (piece) => (risky.test(piece) && !number.test(piece) ? `'${piece}` : piece);

const cell = (value) => {
  const text = String(value ?? "").split(/([;\t\r\n])/).map(neutral).join("");
  const safe = /^'*[\t\r]/.test(text) ? `'${text}` : text;
  return /[",;\t\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
};

function csv(rows) {
  const heads = [...new Set(rows.flatMap(Object.keys))];
  return `\ufeff${[heads, ...rows.map((row) => heads.map((head) => row[head]))].map((row) => row.map(cell).join(",")).join("\r\n")}\r\n`;
}

function save(blob, name) {
  const way = document.createElement("a");
  way.href = URL.createObjectURL(blob);
  way.download = name;
  way.click();
  setTimeout(() => URL.revokeObjectURL(way.href), 10_000);
}

const png = async (view) => new Promise((done) => view.toCanvas(2).then((canvas) => canvas.toBlob(done, "image/png")));

function button(id, words, title, act) {
  const made = document.createElement("button");
  Object.assign(made, { type: "button", id, className: "plain", textContent: words, title });
  made.addEventListener("click", act);
  return made;
}

async function enlarge(place, drawn) {
  const box = document.createElement("dialog");
  const inner = document.createElement("div");
  const close = button("", "Close", "", () => box.close());
  box.className = "enlarged";
  box.setAttribute("aria-label", "The picture, enlarged");
  inner.className = "chart";
  inner.dataset.chart = `${place.dataset.chart}-large`;
  box.append(close, inner);
  box.addEventListener("close", () => box.remove());
  document.body.append(box);
  box.showModal();
  // Drawn smaller than there is room and stretched by the style sheet, so that its words grow with it.
  legible(inner, await drawn(inner, Math.max(320, inner.clientWidth / 1.5)));
}

// Its buttons are those of the picture as it was drawn last.
export function barFor(place, view, drawn) {
  const name = place.dataset.chart;
  const file = name.replace("chart-", "");
  const bar = document.createElement("div");
  bar.className = "chart-bar";
  bar.setAttribute("role", "group");
  bar.setAttribute("aria-label", "This picture");
  bar.append(
    button(`${name}-enlarge`, "Enlarge", "The picture as large as the window", () => enlarge(place, drawn)),
    button(`${name}-svg`, "SVG", "Save the picture as SVG", async () => save(new Blob([await view.toSVG()], { type: "image/svg+xml" }), `${file}.svg`)),
    button(`${name}-png`, "PNG", "Save the picture as PNG", async () => save(await png(view), `${file}.png`)),
    button(`${name}-csv`, "CSV", "Save its values as CSV", () => save(new Blob([csv(rowsOf(view))], { type: "text/csv" }), `${file}.csv`)),
  );
  const focused = document.activeElement?.id;
  place.parentElement.querySelector(`.chart-bar`)?.remove();
  place.after(bar);
  if (focused) bar.querySelector(`#${CSS.escape(focused)}`)?.focus();
}
