// Narrows the list of plants to what is typed; without script every plant is shown under its heading.
"use strict";

(() => {
  const box = document.querySelector("[data-finder]");
  if (!box) return;
  const input = box.querySelector("input");
  const found = box.querySelector("[data-found]");
  const groups = [...document.querySelectorAll("[data-group]")];
  const plants = [...document.querySelectorAll("[data-plant]")];
  const before = new Map(groups.map((g) => [g, g.open]));
  box.hidden = false;

  const narrow = () => {
    const words = input.value.toLowerCase().split(/\s+/).filter(Boolean);
    const fits = (p, head) => words.every((w) => p.dataset.plant.includes(w) || head.includes(w));
    let shown = 0;
    for (const g of groups) {
      const head = g.querySelector("summary").textContent.toLowerCase();
      let here = 0;
      for (const p of g.querySelectorAll("[data-plant]")) {
        p.hidden = !fits(p, head);
        if (!p.hidden) here += 1;
      }
      g.hidden = here === 0;
      g.open = words.length ? here > 0 : before.get(g);
      shown += here;
    }
    found.textContent = words.length ? `${shown} of ${plants.length} plants fit; the others keep what you said.` : "";
  };
  input.addEventListener("input", narrow);
  // the key that sends a form only closes the phone's keyboard here
  input.addEventListener("keydown", (e) => {
    if (e.key === "Enter") {
      e.preventDefault();
      input.blur();
    }
  });
})();
