// Draws the charts of a page from the Vega-Lite text that stands beside them, in the colours of the theme.
const INKS = {
  "#1d2529": "--ink",
  "#5b666b": "--quiet",
  "#c9cfd1": "--hair",
  "#e6e9ea": "--faint",
  "#ffffff": "--paper",
  "#17404f": "--level",
  "#a8713a": "--second",
  "#d99a4e": "--loss",
};

function inTheme(text) {
  const look = getComputedStyle(document.documentElement);
  return Object.entries(INKS).reduce(
    (said, [ink, name]) => said.replaceAll(ink, look.getPropertyValue(name).trim()),
    text,
  );
}

// Where there is little room the rows keep the beginning of their words; the table beside has all of them.
function fitted(chart, room) {
  if (chart.width && room < 640) {
    chart.config.axis.labelLimit = 110;
    chart.width = Math.max(140, room - 150);
  }
  return chart;
}

// A picture of several panels comes in two widths; with less room than this the narrow one is drawn.
const ROOM = 740;

function chosen(place) {
  const narrow = place.dataset.narrow && place.clientWidth < ROOM;
  return document.getElementById(narrow ? place.dataset.narrow : place.dataset.chart);
}

// What stands drawn is left as it is, unless the theme changed.
async function draw(which) {
  for (const place of document.querySelectorAll(which)) {
    const said = chosen(place);
    if (!said || !window.vegaEmbed) continue;
    const chart = fitted(JSON.parse(inTheme(said.textContent)), place.clientWidth);
    await window.vegaEmbed(place, chart, {
      ast: true,
      actions: false,
      defaultStyle: false,
      renderer: "svg",
      tooltip: false,
      loader: { load: () => Promise.reject(new Error("nothing is loaded")) },
    });
    place.dataset.drawn = "yes";
  }
}

const ALL = "[data-chart]", NEW = "[data-chart]:not([data-drawn])";
draw(ALL);
document.addEventListener("htmx:afterSettle", () => draw(NEW));
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => draw(ALL));
