// Shares that could not be worked out are kept in this window until its bill page is opened again.
const NAME = `shares of ${location.pathname}`;

export function keep(form) {
  const said = [...new FormData(form)].filter(([name]) => name === "rest" || name.startsWith("share."));
  sessionStorage.setItem(NAME, JSON.stringify(said));
}

export function restored(form) {
  const kept = JSON.parse(sessionStorage.getItem(NAME) ?? "[]");
  sessionStorage.removeItem(NAME);
  for (const [name, value] of kept) {
    const field = form.elements.namedItem(name);
    if (field) field.value = value;
  }
  return kept.length > 0;
}
