// Draws the charts of a page from the Vega-Lite text that stands beside them, as wide as there is room. Their inks are
// those of paper; desk.css puts those of the theme in their place.
import { legible } from "./chart_values.js";
import { barFor } from "./chart_bar.js";

// Where there is little room the rows keep the beginning of their words; the table beside has all of them. A picture is
// never much wider than it is high, nor a panel beside others wider than it is read well.
const LITTLE = 640, GAP = 26, SCALE = 70, WIDEST = 1000, BESIDE = 320;
const widened = (panel, wide, most) => (panel.width = Math.max(panel.width, Math.min(wide, most)));
const allWide = (panels) => panels?.length && panels.every((panel) => typeof panel.width === "number");

function fitted(chart, room) {
  if (typeof chart.width === "number") {
    if (room < LITTLE) chart.config.axis.labelLimit = 110;
    return { ...chart, width: Math.min(room, 2.6 * chart.height + 240), autosize: { type: "fit-x", contains: "padding" } };
  }
  const { hconcat, vconcat } = chart;
  if (allWide(hconcat)) for (const panel of hconcat) widened(panel, Math.floor((room - SCALE) / hconcat.length) - GAP, BESIDE);
  // Names behind the ends of curves stand where the panel ends: it keeps its width.
  if (allWide(vconcat) && !chart.usermeta?.named) for (const panel of vconcat) widened(panel, room - SCALE, WIDEST);
  return chart;
}

// A picture of several panels comes in two widths; with less room than this the narrow one is drawn.
const ROOM = 740;

function chosen(place) {
  const narrow = place.dataset.narrow && place.clientWidth < ROOM;
  return document.getElementById(narrow ? place.dataset.narrow : place.dataset.chart);
}

export async function drawn(place, said, room) {
  const { view } = await window.vegaEmbed(place, fitted(JSON.parse(said.textContent), room), {
    ast: true,
    actions: false,
    defaultStyle: false,
    renderer: "svg",
    tooltip: false,
    loader: { load: () => Promise.reject(new Error("nothing is loaded")) },
  });
  return view;
}

// What stands drawn is left as it is, unless its place has become wider or narrower.
async function draw(place) {
  const said = chosen(place);
  const room = place.clientWidth;
  if (!said || !window.vegaEmbed || room === 0 || place.dataset.room === String(room)) return;
  place.dataset.room = String(room);
  const view = await drawn(place, said, room);
  place.dataset.drawn = "yes";
  legible(place, view);
  barFor(place, view, (other, wide) => drawn(other, document.getElementById(place.dataset.chart), wide));
  document.dispatchEvent(new CustomEvent("desk:drawn"));
}

const sizes = new ResizeObserver((seen) => {
  for (const { target } of seen) draw(target);
});

function drawAll() {
  for (const place of document.querySelectorAll("[data-chart]")) {
    draw(place);
    sizes.observe(place);
  }
}

drawAll();
document.addEventListener("htmx:afterSettle", drawAll);
