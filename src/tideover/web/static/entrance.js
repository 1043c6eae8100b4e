// The tap counter: comfort only, the form below it can be filled in by hand.
(function () {
  "use strict";
  var form = document.querySelector("form[data-counter]");
  if (!form) return;
  var box = form.querySelector(".taps"), clock = form.querySelector("[data-clock]"), said = form.querySelector("[data-said]");
  var bees = form.elements.bees_in, pollen = form.elements.with_pollen, minutes = form.elements.minutes;
  var tally = form.querySelector("[data-tally]"), kept = form.querySelector("[data-kept]");
  var taps = [], began = 0, ticking = 0, SECONDS = 60;
  var KEY = "tideover count " + form.dataset.counter;
  var FIELDS = ["id", "hive", "bees_in", "with_pollen", "minutes", "shade_temp", "at", "who"];
  box.hidden = false;

  // a count that could not be sent stays on the phone, under its own id, so that sending it twice writes it once
  function remember() {
    var all = {};
    FIELDS.forEach(function (n) { all[n] = form.elements[n].value; });
    try { localStorage.setItem(KEY, JSON.stringify(all)); } catch (e) { /* a phone that keeps nothing */ }
  }
  function recall() {
    var all = null;
    try {
      all = JSON.parse(localStorage.getItem(KEY));
      if (all && all.id === form.dataset.written) { localStorage.removeItem(KEY); all = null; }
    } catch (e) { all = null; }
    if (!all || bees.value !== "") return;
    FIELDS.forEach(function (n) { if (typeof all[n] === "string") form.elements[n].value = all[n]; });
    said.textContent = "";
    kept.textContent = "A count of " + bees.value + " bees, " + pollen.value + " with pollen, was not sent yet: write it down, or start over.";
    kept.hidden = false;
  }

  function buzz(pattern) { if (navigator.vibrate) navigator.vibrate(pattern); }
  function show() {
    bees.value = String(taps.length);
    pollen.value = String(taps.filter(function (t) { return t === "pollen"; }).length);
    tally.textContent = bees.value + (taps.length === 1 ? " bee in, " : " bees in, ") + pollen.value + " of them with pollen";
  }
  function left() { return began ? Math.max(0, SECONDS - (Date.now() - began) / 1000) : SECONDS; }
  function lock(on) { form.querySelectorAll("[data-tap]").forEach(function (b) { b.disabled = on; }); }
  function tick() {
    var l = left();
    clock.textContent = String(Math.ceil(l));
    if (l > 0) return;
    clearInterval(ticking); ticking = 0;
    lock(true); minutes.value = "1"; buzz([120, 80, 120]);
    said.textContent = "One minute is over: " + bees.value + " bees in, " + pollen.value + " with pollen.";
  }
  form.addEventListener("click", function (event) {
    var tap = event.target.closest("[data-tap]");
    if (tap && !tap.disabled) {
      if (!began) { began = Date.now(); ticking = setInterval(tick, 200); }
      taps.push(tap.dataset.tap); show(); buzz(15);
    } else if (event.target.closest("[data-undo]")) {
      if (taps.length) { taps.pop(); show(); }
    } else if (event.target.closest("[data-again]")) {
      clearInterval(ticking); ticking = 0; began = 0; taps = []; lock(false);
      try { localStorage.removeItem(KEY); } catch (e) { /* nothing was kept */ }
      kept.hidden = true; show(); bees.value = ""; pollen.value = ""; minutes.value = "1"; clock.textContent = String(SECONDS); said.textContent = "";
    }
  });
  // sent before the minute is over: what was watched is what counts
  form.addEventListener("submit", function (event) {
    if (ticking) { minutes.value = String(Math.max(0.25, Math.round((SECONDS - left()) / 60 * 100) / 100)); clearInterval(ticking); ticking = 0; lock(true); }
    remember();
    if (navigator.onLine !== false) return;
    event.preventDefault(); event.stopPropagation();
    kept.hidden = false; kept.scrollIntoView({ block: "center" });
    said.textContent = kept.textContent;
  });
  recall();
})();
