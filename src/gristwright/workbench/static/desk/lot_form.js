// The units on offer go with the analysis that is chosen; the only one there is is chosen by itself.
const units = JSON.parse(document.getElementById("units").textContent);

for (const line of document.querySelectorAll(".typed")) {
  const field = line.querySelector("select[name$='-field']");
  const unit = line.querySelector("select[name$='-unit']");
  const every = [...unit.options];
  const follow = () => {
    const fit = units[field.value];
    const kept = unit.value;
    unit.replaceChildren(...every.filter((one) => !one.value || !fit || fit.includes(one.value)));
    unit.value = fit?.length === 1 ? fit[0] : !fit || fit.includes(kept) ? kept : "";
  };
  field.addEventListener("change", follow);
  follow();
}
