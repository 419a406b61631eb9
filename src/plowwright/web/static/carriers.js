// Who's calling: what is typed stays in the address, words beside the fields, a question leads to its field.
(() => {
  "use strict";
  const keep = (key, value) => { try { value === null ? localStorage.removeItem(key) : localStorage.setItem(key, value); } catch { /* a browser may refuse to keep anything */ } };
  const kept = (key) => { try { return localStorage.getItem(key); } catch { return null; } };
  const form = document.getElementById("calling");
  const calm = () => matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth";

  if (form) {
    const draft = () => new URLSearchParams(new FormData(form)).toString();
    const left = kept("calling");
    if (left && !location.search) {
      const line = document.getElementById("left-here");
      const drop = Object.assign(document.createElement("button"), { type: "button", className: "plain", textContent: "Forget it" });
      drop.addEventListener("click", () => { keep("calling", null); line.hidden = true; });
      line.append("A caller is still half written down here. ", Object.assign(document.createElement("a"), { href: "/calling?" + left, textContent: "Go on with it" }), " ", drop);
      line.hidden = false;
    }
    // Every stroke stands in the address, so that a closed lid loses nothing.
    form.addEventListener("input", () => { const query = draft(); keep("calling", query); history.replaceState(history.state, "", "/calling?" + query); });
    // What is kept of a call is what stands in the fields at that moment.
    const call = document.getElementById("keep-call");
    if (call) call.addEventListener("submit", () => {
      for (const old of call.querySelectorAll(".told")) old.remove();
      for (const [name, value] of new FormData(form)) if (value) call.append(Object.assign(document.createElement("input"), { className: "told", type: "hidden", name, value }));
      keep("calling", null);
    });
    // A known machine fills the fields; what was told of the work stays.
    const machine = document.getElementById("machine");
    machine.addEventListener("change", (event) => {
      event.stopPropagation();
      const query = new URLSearchParams();
      if (machine.value) query.set("machine", machine.value);
      for (const [name, value] of new FormData(form)) if (value && (name.startsWith("w_") || name === "units")) query.append(name, value);
      keep("calling", query.toString());
      location.assign("/calling?" + query);
    });
    form.addEventListener("click", (event) => {
      const take = event.target.closest(".take");
      if (!take) return;
      const field = document.getElementById(take.dataset.field);
      field.value = take.dataset.value;
      field.dispatchEvent(new Event("input", { bubbles: true }));
      field.dispatchEvent(new Event("change", { bubbles: true }));
      field.focus();
    });
    document.body.addEventListener("htmx:afterSettle", () => {
      const notes = document.getElementById("notes");
      if (!notes) return;
      const said = new Map([...notes.children].map((note) => [note.dataset.note, note]));
      for (const place of form.querySelectorAll(".note")) {
        const note = said.get(place.id.slice(5));
        const words = note ? note.innerHTML.trim() : "";
        if (place.innerHTML.trim() !== words) place.innerHTML = words;
        const field = document.getElementById(place.id.slice(5));
        if (field) field.setAttribute("aria-invalid", String(Boolean(note && note.querySelector(".said-fails"))));
      }
    });
    document.body.addEventListener("htmx:sendError", () => {
      document.getElementById("answer").textContent = "The shop's computer does not answer. What you typed is kept here; change a field again when it is back.";
    });
  }

  // Another machine on the pages of a match is held against the blade at once.
  const match = document.getElementById("on-machine");
  if (match) match.addEventListener("change", () => match.requestSubmit());

  // An address that ends in a field leads there, as a pressed question does.
  const arrived = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (form && arrived && arrived.select) { arrived.focus(); arrived.select(); }

  // A pressed question leads to its field, a cell of the tape to its blade.
  document.addEventListener("click", (event) => {
    const link = event.target.closest("a.jump, a.cell");
    if (!link) return;
    const place = document.getElementById(decodeURIComponent(link.hash.slice(1)));
    if (!place) return;
    event.preventDefault();
    const folded = place.closest("details");
    if (folded) folded.open = true;
    for (const other of document.querySelectorAll(".choice.lit")) other.classList.remove("lit");
    if (place.classList.contains("choice")) { place.classList.add("lit"); place.setAttribute("tabindex", "-1"); }
    place.scrollIntoView({ block: "center", behavior: calm() });
    place.focus({ preventScroll: true });
    if (place.select) place.select();
  });
})();
