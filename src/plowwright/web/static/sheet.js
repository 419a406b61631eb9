// What a sheet does by itself: day and night, a part and its drawing, a half-filled form kept.
(() => {
  "use strict";
  const root = document.documentElement;
  const keep = (key, value) => { try { value === null ? localStorage.removeItem(key) : localStorage.setItem(key, value); } catch { /* a browser may refuse to keep anything */ } };
  const kept = (key) => { try { return localStorage.getItem(key); } catch { return null; } };

  // Day and night.
  const night = document.getElementById("night");
  const isNight = () => root.dataset.sheet ? root.dataset.sheet === "night" : matchMedia("(prefers-color-scheme: dark)").matches;
  const say = () => { night.textContent = isNight() ? "Day sheet" : "Night sheet"; night.setAttribute("aria-pressed", String(isNight())); };
  if (kept("sheet")) root.dataset.sheet = kept("sheet");
  say();
  night.addEventListener("click", () => { root.dataset.sheet = isNight() ? "day" : "night"; keep("sheet", root.dataset.sheet); say(); document.dispatchEvent(new Event("sheet")); });

  // A part on the drawing and in the list.
  let held = null;
  const idsOf = (row) => (row.dataset.parts || "").split("|");
  const rows = () => [...document.querySelectorAll("tr[data-parts]")];
  const light = (ids) => {
    const wanted = new Set(ids);
    for (const mark of document.querySelectorAll(".drawing [data-part]")) mark.classList.toggle("lit", wanted.has(mark.dataset.part));
    for (const row of rows()) row.classList.toggle("lit", idsOf(row).some((id) => wanted.has(id)));
    document.dispatchEvent(new CustomEvent("parts", { detail: [...wanted] }));
  };
  const hold = (ids) => {
    held = held && held.join("|") === ids.join("|") ? null : ids;
    for (const row of rows()) row.querySelector("button").setAttribute("aria-pressed", String(held !== null && idsOf(row).join("|") === held.join("|")));
    light(held || []);
  };
  const rowOf = (id) => rows().find((row) => idsOf(row).includes(id));
  const found = (event) => {
    const mark = event.target.closest(".drawing [data-part]");
    if (mark) { const row = rowOf(mark.dataset.part); return row ? idsOf(row) : [mark.dataset.part]; }
    const row = event.target.closest("tr[data-parts]");
    return row ? idsOf(row) : null;
  };
  for (const kind of ["mouseover", "focusin"]) document.addEventListener(kind, (event) => light(found(event) || held || []));
  document.addEventListener("click", (event) => {
    const ids = found(event);
    if (!ids) return;
    hold(ids);
    const row = event.target.closest(".drawing") && rowOf(ids[0]);
    if (row && held) row.scrollIntoView({ block: "center", behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth" });
  });

  // The form at the sheet's edge.
  const form = document.getElementById("form");
  const width = document.getElementById("width");
  const unfinished = document.getElementById("unfinished");
  const draft = () => new URLSearchParams(new FormData(form)).toString();
  const offer = (query, words) => {
    if (!unfinished) return;
    unfinished.replaceChildren();
    const go = Object.assign(document.createElement("a"), { href: "/blade?" + query, textContent: "Go on with it" });
    const drop = Object.assign(document.createElement("button"), { type: "button", className: "plain", textContent: "Forget it" });
    drop.addEventListener("click", () => { keep("unfinished", null); keep("last", null); unfinished.hidden = true; });
    unfinished.append(words + " ", go, " ", drop);
    unfinished.hidden = false;
  };
  if (form) {
    const left = kept("unfinished");
    if (left && left !== draft() && new URLSearchParams(left).get("order") === new URLSearchParams(draft()).get("order")) {
      offer(left, "You left a blade half chosen here.");
    }
    form.addEventListener("input", () => keep("unfinished", draft()));
    document.body.addEventListener("htmx:afterSwap", () => {
      const answer = document.getElementById("answer");
      const clash = document.querySelector("#clash .clash");
      const solid = document.getElementById("solid");
      if (clash || !answer) return;
      if (width.value !== answer.dataset.width) width.value = answer.dataset.width;
      document.getElementById("widths").textContent = answer.dataset.widths;
      document.title = answer.dataset.title;
      document.querySelector("h1").textContent = answer.dataset.title;
      if (solid && solid.dataset.query !== answer.dataset.query) { solid.dataset.query = answer.dataset.query; document.dispatchEvent(new Event("blade")); }
      keep("unfinished", null);
      keep("last", answer.dataset.query);
    });
    document.body.addEventListener("htmx:sendError", () => {
      document.getElementById("clash").textContent = "The shop's computer does not answer. What you chose is kept here; try again when it is back.";
    });
  } else if (unfinished) {
    const left = kept("unfinished") || kept("last");
    if (left) offer(left, kept("unfinished") ? "A blade is half chosen." : "The last blade you changed is still here.");
  }

  // The wall: two or more.
  const lay = document.getElementById("lay");
  if (lay) {
    const count = () => {
      const chosen = [...lay.querySelectorAll("input:checked")].map((box) => box.value);
      document.getElementById("chosen").textContent = chosen.length < 2 ? (chosen.length ? chosen[0] + " chosen; choose one more." : "Choose two or more.") : chosen.join(", ");
      lay.querySelector("[type=submit]").disabled = chosen.length < 2;
    };
    lay.addEventListener("change", count);
    count();
  }
})();
