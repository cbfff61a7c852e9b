// A label, a number box and a slider of one value: the browser's own, so that keyboard, touch and
// screen readers work as everywhere. The kernel is told while the slider moves.

function make(tag, options, ...children) {
  const element = Object.assign(document.createElement(tag), options);
  element.append(...children);
  return element;
}

function render({ model, el }) {
  const [low, high, step] = ["min", "max", "step"].map((name) => model.get(name));
  const unit = model.get("unit");
  const name = model.get("label") + (unit ? ` (${unit})` : "");
  const title = model.get("meaning");
  const range = { min: low, max: high, step };
  const box = make("input", { type: "number", ...range, title });
  const slider = make("input", { type: "range", ...range, title, ariaLabel: name });
  const row = make("div", { className: "trimkit-row" });
  row.append(make("label", { title }, make("span", { textContent: name }), box), slider);
  for (const one of [box, slider]) one.dataset.lmSuppressShortcuts = "true"; // keys are theirs

  const digits = Math.max(1, Math.ceil(-Math.log10(step)) + 1); // one more than a step has
  let shown = "";
  const show = () => {
    const value = model.get("value");
    slider.value = value;
    box.value = shown = `${Number(value.toFixed(digits))}`;
    slider.ariaValueText = `${shown} ${unit}`.trim();
  };
  const tell = (value) => {
    model.set("value", Number(Math.min(Math.max(value, low), high).toFixed(4)));
    model.save_changes();
    show();
  };
  slider.addEventListener("input", () => tell(slider.valueAsNumber));
  const typed = () => {
    if (box.value === "") show();
    else if (box.value !== shown) tell(box.valueAsNumber);
  };
  box.addEventListener("change", typed);
  box.addEventListener("keydown", (event) => event.key === "Enter" && typed());
  model.on("change:value", show);
  show();
  el.append(row);
  return () => model.off("change:value", show);
}

export default { render };
