// The values of a chart, read by the pointer and by the keyboard from what was drawn.

const NEAR = 28;
// What a drawing needs and nobody asks for.
const OF_THE_DRAWING = new Set(["right", "next", "kind", "dark", "share", "before", "open_low", "open_high", "whole", "shown"]);
const ofTheDrawing = (name) => OF_THE_DRAWING.has(name) || name.endsWith("_sort_index");
const MOST_DECIMALS = 3;

function told(value, decimals = MOST_DECIMALS) {
  if (typeof value !== "number") return String(value);
  const step = 10 ** decimals;
  return String(Math.round(value * step) / step).replace("-", "−");
}

// A band is written as its value is.
const decimalsOf = (text) => (/^[−+]?[\d\s]+(\.\d+)?$/.test(text ?? "") ? (text.split(".")[1] ?? "").length : MOST_DECIMALS);

// Every datum that was drawn, with its place, its panel and the name of its curve

function titleOf(group) {
  const parts = group.items.filter((mark) => mark.role === "title").flatMap((mark) => mark.items.flatMap((one) => one.items ?? []));
  return parts.filter((part) => part.role === "title-text").flatMap((part) => part.items.map((one) => [one.text].flat().join(" "))).join(" ");
}

const named = (datum) => "text" in datum && "min" in datum && "middle" in datum;

function nameOf(mark, labels) {
  if (mark.marktype !== "line" && mark.marktype !== "area") return "";
  const label = labels.find((one) => mark.items.some(({ datum }) => datum.min === one.min && datum.middle === one.middle));
  return label?.text ?? "";
}

function pointsOf(group, x, y, panel, points) {
  const marks = group.items.filter((mark) => mark.role === "mark" && mark.marktype !== "group");
  const labels = marks.filter((mark) => mark.marktype === "text").flatMap((mark) => mark.items.map((one) => one.datum)).filter(named);
  for (const mark of marks) {
    const curve = nameOf(mark, labels);
    for (const item of mark.items) add(points, item, mark, { x, y, panel, curve });
  }
  for (const mark of group.items.filter((one) => one.marktype === "group")) {
    for (const inner of mark.items) {
      if (inner.items) pointsOf(inner, x + (inner.x ?? 0), y + (inner.y ?? 0), titleOf(inner) || panel, points);
    }
  }
}

const KEY = (datum, at) => JSON.stringify([at.panel, at.curve, ...Object.entries(datum)]);

function add(points, item, mark, at) {
  const { datum } = item;
  if (!datum || (mark.marktype === "text" && named(datum)) || !Object.keys(datum).some((name) => datum[name] !== null)) return;
  const line = mark.marktype === "line" || mark.marktype === "area";
  const b = line ? { x1: item.x, x2: item.x, y1: item.y, y2: item.y } : item.bounds;
  const box = { x1: at.x + b.x1, x2: at.x + b.x2, y1: at.y + b.y1, y2: at.y + b.y2 };
  if (!Object.values(box).every(Number.isFinite)) return;
  const key = KEY(datum, at);
  const before = points.get(key);
  if (!before) points.set(key, { datum, panel: at.panel, curve: at.curve, boxes: [box], place: [(box.x1 + box.x2) / 2, (box.y1 + box.y2) / 2], text: mark.marktype === "text" });
  else {
    before.boxes.push(box);
    if (before.text && mark.marktype !== "text") Object.assign(before, { text: false, place: [(box.x1 + box.x2) / 2, (box.y1 + box.y2) / 2] });
  }
}

export function points(view) {
  const found = new Map();
  const root = view.scenegraph().root.items[0];
  const [left, top] = view.origin();
  pointsOf(root, left, top, "", found);
  return [...found.values()].filter(({ datum }) => Object.keys(datum).some((name) => !ofTheDrawing(name)));
}

// One value in words

function who(point) {
  const { datum, panel, curve } = point;
  const offer = datum.offer && datum.offer.length === 1 ? `Offer ${datum.offer}` : datum.offer;
  const where = "min" in datum ? `${told(datum.min)} min` : "years" in datum ? `${told(datum.years)} years` : "at" in datum ? told(datum.at) : "";
  const cell = "x" in datum && "y" in datum ? `${datum.x} across, ${datum.y} up` : "";
  return [panel, curve, datum.row, offer, where, cell].filter(Boolean).join(", ");
}

function what(datum) {
  const decimals = decimalsOf(datum.text);
  const value = [datum.text, datum.middle, datum.value, datum.estimate, datum.give, datum.after].find((one) => one !== undefined && one !== null && one !== "");
  const band = typeof datum.low === "number" && typeof datum.high === "number" && datum.low !== datum.high ? ` (${told(datum.low, decimals)} to ${told(datum.high, decimals)})` : "";
  const gain = datum.shown ? `; gain ${told(datum.gain)} years (${told(datum.gain_low)} to ${told(datum.gain_high)})` : "";
  return `${value === undefined ? "" : told(value)}${band}${gain}`.trim();
}

export const inWords = (point) => [who(point), what(point.datum)].filter(Boolean).join(": ");

export function rowsOf(view) {
  return points(view).map(({ datum, panel, curve }) => {
    const said = Object.entries(datum).filter(([name, value]) => !ofTheDrawing(name) && typeof value !== "object");
    return { ...(panel ? { panel } : {}), ...(curve ? { curve } : {}), ...Object.fromEntries(said) };
  });
}

// The pointer and the keyboard

const tip = document.createElement("div");
tip.className = "tip";
tip.hidden = true;
const spoken = document.createElement("p");
spoken.className = "away";
spoken.setAttribute("role", "status");
document.body.append(tip, spoken);

const inside = (box, x, y) => x >= box.x1 - 1 && x <= box.x2 + 1 && y >= box.y1 - 1 && y <= box.y2 + 1;
const apart = (point, x, y) => Math.hypot(point.place[0] - x, point.place[1] - y);

function nearest(all, x, y) {
  const within = all.filter((point) => point.boxes.some((box) => inside(box, x, y)));
  const among = within.length ? within : all.filter((point) => apart(point, x, y) < NEAR);
  return among.sort((a, b) => apart(a, x, y) - apart(b, x, y))[0];
}

function show(place, point) {
  const svg = place.querySelector("svg").getBoundingClientRect();
  tip.textContent = inWords(point);
  // A dialog lies above the page; the words go where the picture is.
  (place.closest("dialog") ?? document.body).append(tip);
  tip.hidden = false;
  const grown = scaleOf(place);
  const x = svg.left + grown * point.place[0], y = svg.top + grown * point.place[1];
  const { width, height } = tip.getBoundingClientRect();
  tip.style.left = `${Math.max(4, Math.min(x - width / 2, document.documentElement.clientWidth - width - 4))}px`;
  tip.style.top = `${y - height - 12 > 4 ? y - height - 12 : y + 14}px`;
}

function scaleOf(place) {
  const svg = place.querySelector("svg");
  return svg.getBoundingClientRect().width / (svg.viewBox.baseVal.width || 1) || 1;
}

const hide = () => (tip.hidden = true);
const inOrder = (all) => [...new Set(all.map((point) => point.panel))].flatMap((panel) => all.filter((point) => point.panel === panel));
const STEPS = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1, PageDown: 10, PageUp: -10 };

function step(place, event) {
  const { all } = place.values;
  const to = event.key === "Home" ? 0 : event.key === "End" ? all.length - 1 : place.values.at + STEPS[event.key];
  if (event.key === "Escape") return hide();
  if (Number.isNaN(to) || !all.length) return undefined;
  event.preventDefault();
  place.values.at = Math.max(0, Math.min(all.length - 1, to));
  const point = all[place.values.at];
  spoken.textContent = inWords(point);
  return show(place, point);
}

function listen(place) {
  place.addEventListener("pointermove", (event) => {
    const svg = place.querySelector("svg")?.getBoundingClientRect();
    const point = svg && nearest(place.values.all, (event.clientX - svg.left) / scaleOf(place), (event.clientY - svg.top) / scaleOf(place));
    if (point) show(place, point);
    else hide();
  });
  place.addEventListener("pointerleave", hide);
  place.addEventListener("blur", hide);
  place.addEventListener("focus", () => place.matches(":focus-visible") && place.values.all.length && step(place, { key: "Home", preventDefault() {} }));
  place.addEventListener("keydown", (event) => step(place, event));
}

export function legible(place, view) {
  const words = place.closest("figure")?.querySelector("figcaption")?.textContent ?? "";
  if (!place.values) listen(place);
  place.values = { all: inOrder(points(view)), at: -1 };
  place.removeAttribute("aria-hidden");
  place.querySelector("svg").setAttribute("aria-hidden", "true");
  place.tabIndex = 0;
  place.id ||= `place-${place.dataset.chart}`;
  place.setAttribute("role", "application");
  place.setAttribute("aria-label", `Picture; arrow keys read its values. ${words.split(".")[0]}.`);
}
