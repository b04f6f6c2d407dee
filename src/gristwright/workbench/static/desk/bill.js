// The bill page while somebody types: what is left, which figures have passed, what went wrong, and the finder of lots.
import "./lots.js";
import { keep, restored } from "./kept_shares.js";

const form = document.getElementById("shares");
const said = document.getElementById("said");
const trouble = document.getElementById("trouble");
const tried = () => document.getElementById("tried");

// What is left

function number(text) {
  const plain = text.trim().replace(",", ".");
  return plain === "" ? 0 : Number(plain);
}

const shares = () => [...form.querySelectorAll("input[name^='share.']")];
const rest = () => form.querySelector("input[name='rest']:checked")?.value ?? "";
const restField = () => shares().find((field) => rest() && field.name === `share.${rest()}`);
const round = (value) => Math.round(value * 100) / 100;

function settle() {
  const taker = restField();
  for (const field of shares()) {
    field.readOnly = field === taker;
    field.closest("tr").toggleAttribute("data-now", number(field.value) !== 0);
  }
  const others = shares().filter((field) => field !== taker).reduce((sum, field) => sum + number(field.value), 0);
  if (Number.isNaN(others)) return show("?", "");
  if (taker) taker.value = round(Math.max(0, 100 - others));
  const total = round(taker ? Math.max(100, others) : others);
  const away = round(Math.abs(100 - total));
  show(total, total === 100 ? "nothing left" : `${total < 100 ? "left" : "too much"}: ${away} %`);
}

function show(total, left) {
  const place = document.getElementById("total");
  place.firstChild.data = total;
  place.querySelector(".left").textContent = left;
}

// Figures belong to the shares they were asked for

// A separator with nothing behind it yet is no other share.
const value = (field) => field.value.trim().replace(/[.,]$/, "");
const asked = () => JSON.stringify([rest(), ...shares().filter((field) => field !== restField()).map(value)]);
const asks = new WeakMap();
let sent = form ? asked() : "", stands = sent;
const ours = (event) => event.detail.target?.id === "tried";

function passed() {
  tried().setAttribute("aria-busy", "true");
}

function typed() {
  settle();
  if (asked() !== sent) passed();
  if (trouble.hasChildNodes()) keep(form);
}

// Nothing is asked twice.
function needless(event) {
  if (event.target !== form || event.detail.triggeringEvent?.type !== "input" || asked() !== sent) return;
  event.preventDefault();
  if (stands === sent) tried().removeAttribute("aria-busy");
}

function asking(event) {
  if (!ours(event)) return;
  asks.set(event.detail.xhr, asked());
  sent = asked();
}

// Trouble

const STAYS = "The shares stand here as you typed them, and the struck figures are of those before.";

function tell(sentence, ...ways) {
  sent = "";
  const words = document.createElement("p");
  words.textContent = `${sentence} ${STAYS}`;
  trouble.replaceChildren(words, ...ways);
  passed();
}

function again() {
  const way = document.createElement("button");
  way.type = "button";
  way.className = "plain";
  way.textContent = "Try again";
  way.addEventListener("click", () => window.htmx.trigger(form, "again"));
  return way;
}

function leading(words, address) {
  const way = document.createElement("a");
  way.href = address;
  way.textContent = words;
  keep(form);
  return way;
}

const silent = () => tell("The desk does not answer. See that it is running (gristwright serve), then try again.", again());
const here = () => location.pathname;

function broken(status) {
  if (status === 403) {
    return tell("This page is older than your last signing in. Load it anew; the shares will be filled in.", leading("Load the page anew", here()));
  }
  tell(`The desk could not work this out (it answered ${status}). Try again; if it stays so, the window the desk was started in says why.`, again());
}

function outside() {
  const way = `${form.dataset.enter}?next=${encodeURIComponent(here())}`;
  tell("You are no longer signed in. Sign in again; the shares will be filled in.", leading("Sign in again", way));
}

// What somebody folded or unfolded, where the keyboard stands and the picture outlast an answer

const folds = () => [...tried().querySelectorAll("details[id]")].map((one) => [one.id, one.open]);
let given = new Map(), turned = [], stood = "", picture = null;

function placeOf(element) {
  if (element?.id) return `#${CSS.escape(element.id)}`;
  const label = element?.getAttribute("aria-label");
  return label ? `#tried [aria-label=${JSON.stringify(label)}]` : "";
}

function remember() {
  turned = folds().filter(([id, open]) => given.get(id) !== open);
  stood = placeOf(document.activeElement);
  picture = tried().querySelector(".chart svg");
}

function takeUp() {
  given = new Map(folds());
  for (const [id, open] of turned) document.getElementById(id)?.toggleAttribute("open", open);
  picture?.classList.add("before");
  if (picture) tried().querySelector(".chart")?.append(picture);
  standAgain();
}

// The buttons of a picture are there only when it is drawn.
function standAgain() {
  if (!stood || document.activeElement !== document.body) return;
  const place = document.querySelector(stood);
  if (place?.matches(".chart")) place.tabIndex = 0;
  place?.focus({ preventScroll: true });
}

function speak() {
  const words = tried().dataset.said ?? "";
  if (said.textContent !== words) said.textContent = words;
}

function before(event) {
  if (!ours(event)) return;
  const { xhr, pathInfo } = event.detail;
  if (new URL(xhr.responseURL || pathInfo.finalRequestPath, location.href).pathname !== new URL(pathInfo.finalRequestPath, location.href).pathname) {
    event.detail.shouldSwap = false;
    return outside();
  }
  if (xhr.status >= 400) return;
  // Another window asked for this enquiry at the same time.
  if (xhr.status === 204) setTimeout(() => window.htmx.trigger(form, "again"), 300);
  if (asks.get(xhr) !== asked()) event.detail.shouldSwap = false;
  else remember();
}

function follow() {
  given = new Map(folds());
  form.addEventListener("input", typed);
  form.addEventListener("submit", (event) => {
    if (event.submitter?.hasAttribute("formaction")) return;
    event.preventDefault();
    window.htmx.trigger(form, "again");
  });
  document.getElementById("bill-name").addEventListener("keydown", named);
  document.addEventListener("htmx:confirm", needless);
  document.addEventListener("htmx:beforeSend", asking);
  document.addEventListener("htmx:beforeSwap", before);
  // It is said once for every element that came.
  document.addEventListener("htmx:afterSwap", (event) => {
    if (!ours(event) || tried().dataset.taken) return;
    tried().dataset.taken = "yes";
    trouble.replaceChildren();
    stands = sent;
    takeUp();
    settle();
    if (!event.detail.requestConfig.parameters.has?.("final")) speak();
  });
  document.addEventListener("desk:drawn", standAgain);
  document.addEventListener("htmx:sendError", (event) => ours(event) && silent());
  document.addEventListener("htmx:timeout", (event) => ours(event) && silent());
  document.addEventListener("htmx:responseError", (event) => ours(event) && broken(event.detail.xhr.status));
  settle();
}

// The first button of the form works the shares out; Enter in the name of the bill means the one beside it.
function named(event) {
  if (event.key !== "Enter" || event.isComposing) return;
  event.preventDefault();
  form.requestSubmit(form.querySelector("button[formaction]"));
}

function takeUpKept() {
  if (!restored(form)) return;
  settle();
  passed();
  window.htmx.trigger(form, "again");
}

if (form) {
  follow();
  // By then htmx knows the form.
  document.addEventListener("DOMContentLoaded", takeUpKept);
}
