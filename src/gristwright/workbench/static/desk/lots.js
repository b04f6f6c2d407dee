// With many lots: those of the bill are shown, the others are found by a part of their name or type.
const finder = document.querySelector(".finder");
const rows = [...document.querySelectorAll("#lots tr")];

function used(row) {
  const share = row.querySelector("input.number");
  return row.dataset.used || Number(share.value.replace(",", ".")) !== 0 || row.querySelector("[type='radio']").checked;
}

function follow() {
  const box = document.getElementById("find");
  const all = document.getElementById("all-lots");
  const found = document.getElementById("found");
  const every = all.textContent;

  function filter() {
    const parts = box.value.toLowerCase().split(/\s+/).filter(Boolean);
    const whole = all.getAttribute("aria-expanded") === "true";
    for (const row of rows) {
      const text = row.querySelector("th").textContent.toLowerCase();
      const shown = parts.length ? parts.every((part) => text.includes(part)) : whole || used(row);
      row.hidden = !shown && !row.contains(document.activeElement);
    }
    const count = rows.filter((row) => !row.hidden).length;
    found.textContent = parts.length ? `${count} found` : "";
    all.textContent = whole ? "Show only lots of the bill" : every;
  }

  function unfold(whole) {
    all.setAttribute("aria-expanded", String(whole));
    box.value = "";
    filter();
  }

  // What is typed here is no share: the form must not ask for figures.
  box.addEventListener("input", (event) => {
    event.stopPropagation();
    filter();
  });
  box.addEventListener("change", (event) => event.stopPropagation());
  box.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    event.preventDefault();
    if (box.value.trim()) rows.find((row) => !row.hidden)?.querySelector("input.number").focus();
  });
  all.addEventListener("click", () => unfold(all.getAttribute("aria-expanded") !== "true"));
  // A fault leads to the field of a lot, which may be hidden.
  document.addEventListener("click", (event) => {
    const row = rows.find((one) => one.hidden && event.target.closest?.("a")?.hash === `#${CSS.escape(one.querySelector("input.number").id)}`);
    if (row) row.hidden = false;
  });
  finder.hidden = false;
  filter();
}

if (finder) follow();
