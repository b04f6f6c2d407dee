// What is typed and not saved yet is kept in this browser, by user and form, and offered again. See docs/desk.md.
const PREFIX = "gristwright kept ";
const LONGEST_MS = 30 * 24 * 3600 * 1000;
const OWN = new Set(["csrfmiddlewaretoken", "was", "opened"]);
const user = document.body.dataset.user ?? "";
const store = (() => {
  try {
    return window.localStorage;
  } catch {
    return null; // the browser keeps nothing: the page works as it does without scripts
  }
})();

const lines = (text) => text.replaceAll("\r\n", "\n");
const alike = (one, other) => JSON.stringify(one) === JSON.stringify(other);
const pathOf = (form) => new URL(form.getAttribute("action") || location.pathname, location.href).pathname;
const secret = (control) => ["password", "file"].includes(control.type);

function controls(form, name) {
  const found = form.elements.namedItem(name);
  return found instanceof RadioNodeList ? [...found] : found ? [found] : [];
}

// What the fields say, as it would be sent; never a password, never a file.
function said(form) {
  const data = new FormData(form);
  const names = new Set([...form.elements].filter((one) => one.name && !secret(one)).map((one) => one.name));
  const fields = {};
  for (const name of names) {
    if (!OWN.has(name) && !name.startsWith("choose.")) fields[name] = data.getAll(name).map((text) => lines(String(text)));
  }
  return fields;
}

// What stands at the desk: what the form carries of it, and of a form that carries nothing what it showed first.
function standing(form) {
  const carried = form.elements.namedItem("was");
  if (!carried) return said(form);
  const was = JSON.parse(carried.value);
  return Object.fromEntries(Object.entries(was).map(([name, texts]) => [name, texts.map(lines)]));
}

// A line of a list is known by its key, for its number may be another one next time.
const KEYED = /^([a-z]+-)(\d+)-(.+)$/;

function keyOf(form, name) {
  const [, list, number] = KEYED.exec(name) ?? [];
  return list ? controls(form, `${list}${number}-id`)[0]?.value ?? null : null;
}

function placed(form, name, key) {
  const [, list, , field] = KEYED.exec(name) ?? [];
  if (!list || key === null) return name;
  const ids = [...form.elements].filter((one) => one.name.startsWith(list) && one.name.endsWith("-id"));
  const id = ids.find((one) => one.value === key);
  return id ? id.name.replace(/id$/, field) : null;
}

function labelOf(form, name) {
  const control = controls(form, name)[0];
  const group = control?.closest("fieldset.choices")?.querySelector("legend");
  return (group ?? control?.labels?.[0])?.textContent.trim() ?? name;
}

// Only what was changed, with what stood there, so that the desk can ask where another one changed it too.
function changed(form, before) {
  const now = said(form);
  return Object.keys(now)
    .filter((name) => name in before && !alike(now[name], before[name]))
    .map((name) => ({ name, texts: now[name], was: before[name], key: keyOf(form, name), label: labelOf(form, name) }));
}

function fill(form, name, texts) {
  for (const control of controls(form, name)) {
    if (control.type === "checkbox" || control.type === "radio") control.checked = texts.includes(control.value);
    else if (control.type === "select-multiple") for (const one of control.options) one.selected = texts.includes(one.value);
    else control.value = texts[0] ?? "";
    control.closest("details.fold")?.setAttribute("open", "");
    control.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

// Each window of the browser has its own; what is typed in one that is still open is not offered in another.
function held(name) {
  return new Promise((tell) => {
    navigator.locks.request(`gristwright ${name}`, { ifAvailable: true }, (lock) => {
      tell(Boolean(lock));
      return lock && new Promise(() => {});
    });
  });
}

async function ownWindow() {
  const known = sessionStorage.getItem("gristwright window");
  if (!navigator.locks) return known ?? "window";
  const name = known && (await held(known)) ? known : crypto.randomUUID();
  if (name !== known) await held(name);
  sessionStorage.setItem("gristwright window", name);
  return name;
}

async function openWindows() {
  const locks = navigator.locks ? (await navigator.locks.query()).held : [];
  return new Set(locks.map((lock) => lock.name.replace("gristwright ", "")));
}

const allKeys = () => Object.keys(store).filter((key) => key.startsWith(PREFIX));
const read = (key) => JSON.parse(store.getItem(key) ?? "null");

// What was kept of this form by this window before, or by one that is closed; the newest first.
function keptFor(start, mine, open) {
  const found = allKeys().filter((key) => key.startsWith(start));
  const free = found.filter((key) => key === start + mine || !open.has(key.slice(start.length)));
  return free.sort((one, other) => read(other).at - read(one).at)[0];
}

function button(text, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "plain";
  made.textContent = text;
  made.addEventListener("click", act);
  return made;
}

function putBack(form, fields) {
  const carried = form.elements.namedItem("was");
  const was = carried ? JSON.parse(carried.value) : null;
  const homeless = [];
  for (const { name, texts, was: before, key, label } of fields) {
    const place = placed(form, name, key);
    if (place === null || !controls(form, place).length) homeless.push(`${label}: ${texts.join(", ")}`);
    else {
      fill(form, place, texts);
      if (was) was[place] = before;
    }
  }
  if (carried) carried.value = JSON.stringify(was);
  return homeless;
}

function paragraph(text) {
  return Object.assign(document.createElement("p"), { textContent: text });
}

function offer(form, key, kept) {
  const at = new Date(kept.at).toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });
  const section = document.createElement("section");
  section.className = "unsaved";
  section.setAttribute("aria-label", "Not saved");
  section.setAttribute("aria-live", "polite");
  const back = button("Put it back", () => {
    store.removeItem(key);
    const homeless = putBack(form, kept.fields);
    const but = homeless.length ? `, but for what has no place here any more: ${homeless.join("; ")}` : "";
    section.replaceChildren(paragraph(`Put back${but}. Look at it, then save.`));
    controls(form, placed(form, kept.fields[0].name, kept.fields[0].key) ?? "")[0]?.focus();
  });
  const forget = button("Forget it", () => {
    store.removeItem(key);
    section.remove();
    document.getElementById("main").focus();
  });
  const labels = kept.fields.map(({ label }) => label);
  const named = labels.length > 4 ? `${labels.slice(0, 4).join(", ")} and ${labels.length - 4} more` : labels.join(", ");
  section.append(paragraph(`You typed something here that was not saved (${at}): ${named}.`), back, " ", forget);
  form.before(section);
}

// Before a form is sent: does the desk answer, who is signed in, and which token do its forms carry now?
async function asksDesk() {
  const answer = await fetch(document.body.dataset.standing, { cache: "no-store" });
  if (!answer.ok) throw new Error(String(answer.status));
  return answer.json();
}

function signInFirst(says, desk) {
  const enter = Object.assign(document.createElement("a"), { href: desk.enter, textContent: "Sign in", target: "_blank" });
  says.replaceChildren("You are signed out. What you typed is kept. ", enter, " in another window, then save here again.");
}

// Sends a form once the desk has answered; true when it goes.
async function sends(form, says) {
  says.textContent = "";
  try {
    const desk = await asksDesk();
    if (desk.user === user) form.elements.namedItem("csrfmiddlewaretoken").value = desk.token;
    else signInFirst(says, desk);
    return desk.user === user;
  } catch {
    says.textContent = "The desk does not answer. What you typed is kept in this browser; start the desk, then save again.";
    return false;
  }
}

function liveRegion(form) {
  const says = paragraph("");
  says.className = "says";
  says.setAttribute("aria-live", "assertive");
  (form.querySelector(".end") ?? form).after(says);
  return says;
}

// What was kept before this page was opened goes aside, so that what is typed now does not take its place.
function offerEarlier(form, start, mine, open) {
  const own = start + mine;
  if (document.querySelector("[data-saved]") && read(own)?.sent) store.removeItem(own);
  const key = keptFor(start, mine, open);
  if (!key || form.hasAttribute("data-answered")) return;
  const kept = { ...read(key), sent: false };
  const aside = `${start}before-${kept.at}`;
  store.removeItem(key);
  store.setItem(aside, JSON.stringify(kept));
  offer(form, aside, kept);
}

function follow(form, mine, open) {
  const start = `${PREFIX}${user} ${pathOf(form)} `;
  const before = standing(form);
  const says = liveRegion(form);
  let going = false;
  const keep = (sent) => {
    const fields = changed(form, before);
    if (fields.length) store.setItem(start + mine, JSON.stringify({ at: Date.now(), sent, fields }));
    else store.removeItem(start + mine);
  };
  offerEarlier(form, start, mine, open);
  if (form.hasAttribute("data-answered")) keep(false);
  for (const event of ["input", "change"]) form.addEventListener(event, () => keep(false));
  window.addEventListener("beforeunload", (event) => {
    if (!going && changed(form, before).length) event.preventDefault();
  });
  form.addEventListener("submit", async (event) => {
    if (going) return;
    const { submitter } = event;
    event.preventDefault();
    keep(true);
    going = await sends(form, says);
    if (going) form.requestSubmit(submitter);
  });
}

function forgetAtLeaving() {
  for (const key of allKeys()) if (key.startsWith(`${PREFIX}${user} `)) store.removeItem(key);
}

async function begin() {
  for (const key of allKeys()) if (Date.now() - (read(key)?.at ?? 0) > LONGEST_MS) store.removeItem(key);
  for (const note of document.querySelectorAll("[data-kept-of]")) {
    note.hidden = !allKeys().some((key) => key.split(" ")[3]?.startsWith(note.dataset.keptOf));
  }
  const leaving = () => window.addEventListener("pagehide", forgetAtLeaving);
  document.querySelector("form[data-leave]")?.addEventListener("submit", leaving);
  const forms = [...document.querySelectorAll("form[data-keep]")];
  if (!forms.length) return;
  const mine = await ownWindow();
  const open = await openWindows();
  for (const form of forms) follow(form, mine, open);
}

if (store) begin();
