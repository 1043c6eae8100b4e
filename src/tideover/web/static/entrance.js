// The tap counter: comfort only, the form below it can be filled in by hand.
(function () {
  "use strict";
  var form = document.querySelector("form[data-counter]");
  if (!form) return;
  var waits = window.tideoverWaits;
  var box = form.querySelector(".taps"), clock = form.querySelector("[data-clock]"), said = form.querySelector("[data-said]");
  var bees = form.elements.bees_in, pollen = form.elements.with_pollen, minutes = form.elements.minutes;
  var hive = form.elements.hive, at = form.elements.at;
  var tally = form.querySelector("[data-tally]");
  var section = document.querySelector("[data-waiting]"), keeps = document.querySelector("[data-keeps]");
  var taps = [], began = 0, ticking = 0, SECONDS = 60, STALE_MS = 600000, atTyped = false;
  var FIELDS = ["id", "hive", "bees_in", "with_pollen", "minutes", "shade_temp", "at", "who"];
  box.hidden = false;

  // a page out of the phone's own store is old: its id may be used and its hour is past
  function stale() { return at.value === "" || Math.abs(Date.now() - Number(form.dataset.made)) > STALE_MS; }
  function newId() {
    if (window.crypto.randomUUID) return crypto.randomUUID();
    var b = crypto.getRandomValues(new Uint8Array(16));
    b[6] = (b[6] & 15) | 64; b[8] = (b[8] & 63) | 128;
    var hex = Array.prototype.map.call(b, function (x) { return (x + 256).toString(16).slice(1); }).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  }
  // now, as the clock at the hive's yard shows it
  function now() {
    var option = hive.options[hive.selectedIndex], parts = {};
    var style = { year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
    try { style.timeZone = option.dataset.zone; new Intl.DateTimeFormat("en", style); } catch (e) { delete style.timeZone; }
    new Intl.DateTimeFormat("en", style).formatToParts(new Date()).forEach(function (p) { parts[p.type] = p.value; });
    return parts.year + "-" + parts.month + "-" + parts.day + "T" + parts.hour + ":" + parts.minute;
  }
  function settle() { if (!atTyped && stale()) at.value = now(); }
  function clear() {
    clearInterval(ticking); ticking = 0; began = 0; taps = []; lock(false); show();
    bees.value = ""; pollen.value = ""; minutes.value = "1"; clock.textContent = String(SECONDS); said.textContent = "";
    form.elements.id.value = newId(); atTyped = false; settle();
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
      if (!began) { began = Date.now(); ticking = setInterval(tick, 200); settle(); }
      taps.push(tap.dataset.tap); show(); buzz(15);
    } else if (event.target.closest("[data-undo]")) {
      if (taps.length) { taps.pop(); show(); }
    } else if (event.target.closest("[data-again]")) {
      clear();
    }
  });
  at.addEventListener("input", function () { atTyped = true; });
  hive.addEventListener("change", settle);

  // every count is put on the phone first, under its own id: whatever becomes of the sending, it is written once
  form.addEventListener("submit", function (event) {
    if (ticking) { minutes.value = String(Math.max(0.25, Math.round((SECONDS - left()) / 60 * 100) / 100)); clearInterval(ticking); ticking = 0; lock(true); }
    var count = { kept_ms: Date.now(), form_units: form.elements.form_units.value };
    FIELDS.forEach(function (n) { count[n] = form.elements[n].value; });
    // an empty form is no count; the books say what is missing
    var kept = count.bees_in !== "" && waits.put(count);
    if (navigator.onLine !== false) return;
    event.preventDefault(); event.stopPropagation();
    if (!kept) { said.textContent = "No signal, and this phone keeps nothing: leave the page open and press again later."; said.classList.remove("away"); return; }
    var words = "No signal: " + count.hive + ", " + count.bees_in + " bees, " + (count.with_pollen || "0") + " with pollen, is kept on this phone.";
    clear();
    said.textContent = words;
    section.scrollIntoView({ block: "center" });
  });

  function button(word, label, act) {
    var b = document.createElement("button");
    b.type = "button"; b.textContent = word; b.setAttribute("aria-label", word + ": " + label);
    b.addEventListener("click", act);
    return b;
  }
  waits.listen(function (waiting) {
    var list = section.querySelector("ul");
    list.replaceChildren();
    waiting.forEach(function (c) {
      var item = document.createElement("li"), words = document.createElement("span");
      words.textContent = c.hive + ", " + String(c.at).replace("T", " ") + ": " + c.bees_in + " bees, " + (c.with_pollen || "0") + " with pollen.";
      item.append(words);
      if (c.problem) {
        var why = document.createElement("strong");
        why.className = "late"; why.textContent = "Not taken: " + c.problem;
        item.append(why,
          button("Correct", c.hive, function () {
            clear(); FIELDS.forEach(function (n) { if (typeof c[n] === "string") form.elements[n].value = c[n]; });
            atTyped = true; hive.focus();
          }),
          button("Throw away", c.hive, function () { waits.drop(c.id); }));
      }
      list.append(item);
    });
    section.hidden = !waiting.length;
  });

  if (form.dataset.written) waits.drop(form.dataset.written);
  if (!("wrong" in form.dataset)) {
    // at a yard's own address only its hives come first in mind
    var here = /^\/yard\/(.+)\/entrance$/.exec(location.pathname);
    var mine = here && Array.prototype.find.call(hive.options, function (o) { return o.dataset.yard === decodeURIComponent(here[1]); });
    if (mine && form.action.slice(-8) === "/counter") hive.value = mine.value;
    form.elements.id.value = newId();
    settle();
  } else { atTyped = true; }
  window.addEventListener("pageshow", function (event) { if (event.persisted) clear(); });
  if (!("serviceWorker" in navigator)) keeps.textContent = keeps.dataset.notKept;
  else navigator.serviceWorker.ready.then(function () { keeps.textContent = keeps.dataset.keptPage; });
})();
