// Half-written answers survive a closed lid and a lost line; each keeps its key, so that sending it again is harmless.
(() => {
  "use strict";
  const store = (name, value) => { try { value === null ? localStorage.removeItem(name) : localStorage.setItem(name, value); } catch { /* a browser may refuse to keep anything */ } };
  const stored = (name) => { try { return JSON.parse(localStorage.getItem(name)); } catch { return null; } };
  const done = document.querySelector(".did");
  const refused = document.querySelector(".clash");
  for (const form of document.querySelectorAll("form[data-keep]")) {
    const name = "floor " + form.dataset.keep;
    const fields = () => [...form.elements].filter((one) => one.name && one.type !== "file" && one.name !== "who");
    const write = () => store(name, JSON.stringify(fields().map((one) => [one.name, one.type === "checkbox" ? one.checked : one.value])));
    const kept = stored(name);
    if (done) { store(name, null); }
    else if (kept && !refused) {
      for (const [field, value] of kept) {
        const one = form.elements[field];
        if (!one) continue;
        if (one.type === "checkbox") one.checked = value; else one.value = value;
      }
      form.closest("details").open = true;
      form.prepend(Object.assign(document.createElement("p"), { className: "left-half", textContent: "You left this half written." }));
    }
    form.addEventListener("input", write);
    form.addEventListener("submit", () => { write(); setTimeout(() => { for (const press of form.querySelectorAll("button")) press.disabled = true; }); });
  }
  // Back from a page that did not come: what was pressed may be pressed again.
  window.addEventListener("pageshow", () => { for (const press of document.querySelectorAll("form[data-keep] button")) press.disabled = false; });
})();
