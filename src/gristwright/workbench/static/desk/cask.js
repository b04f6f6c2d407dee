// Capacity and staves go with the kind of cask that is chosen, unless the user wrote his own.
const kind = document.querySelector("select[name='kind-name']");
const usual = JSON.parse(document.getElementById("usual").textContent);

function follow(name) {
  const field = kind.form.elements[name];
  const said = () => usual[kind.value]?.[name] ?? "";
  let own = !["", said()].includes(field.value.trim());
  const show = () => {
    if (!own) field.value = said();
  };
  field.addEventListener("input", () => (own = field.value.trim() !== ""));
  field.addEventListener("change", show);
  kind.addEventListener("change", show);
  // What only follows is sent empty, as it is without scripts.
  kind.form.addEventListener("formdata", (event) => own || event.formData.set(name, ""));
  show();
}

["kind-capacity_L", "kind-wall_mm"].forEach(follow);
