// Eighths by thumb: keys under each field; the fields themselves can be filled in by hand.
(function () {
  "use strict";
  var form = document.querySelector("form[data-combs]");
  if (!form) return;
  var KEYS = ["0", "1", "2", "3", "4", "5", "6", "7", "8", "½"];

  function pad(input) {
    var row = document.createElement("div");
    row.className = "eighth-keys";
    KEYS.forEach(function (k) {
      var b = document.createElement("button");
      b.type = "button";
      b.textContent = k;
      b.dataset.eighth = k;
      b.setAttribute("aria-label", input.getAttribute("aria-label") + ": " + (k === "½" ? "half an eighth less" : k));
      row.appendChild(b);
    });
    input.parentNode.appendChild(row);
    return row;
  }
  function mark(input) {
    var row = input.parentNode.querySelector(".eighth-keys"), v = Number(input.value.replace(",", "."));
    if (!row) return;
    row.querySelectorAll("button").forEach(function (b) {
      var k = b.dataset.eighth;
      var on = input.value.trim() !== "" && (k === "½" ? v % 1 !== 0 : Math.ceil(v) === Number(k));
      b.setAttribute("aria-pressed", on ? "true" : "false");
    });
  }
  // Keys are made when a comb is opened: 240 pads at once would be slow on a phone.
  function fill(details) {
    details.querySelectorAll(".eighths input").forEach(function (input) {
      if (!input.parentNode.querySelector(".eighth-keys")) { pad(input); mark(input); }
    });
  }
  form.querySelectorAll("details").forEach(function (d) {
    if (d.open) fill(d);
    d.addEventListener("toggle", function () { if (d.open) fill(d); });
  });
  form.addEventListener("click", function (event) {
    var b = event.target.closest("button[data-eighth]");
    if (!b) return;
    var input = b.closest(".eighths").querySelector("input"), k = b.dataset.eighth;
    var now = input.value.trim() === "" ? null : Number(input.value.replace(",", "."));
    if (k === "½") {
      if (now === null || !isFinite(now)) input.value = "0.5";
      else input.value = String(now % 1 !== 0 ? Math.ceil(now) : Math.max(0, now - 0.5));
    } else {
      // The same key again takes the judgement back.
      input.value = now === Number(k) ? "" : k;
    }
    mark(input);
  });
  form.addEventListener("input", function (event) { if (event.target.closest(".eighths")) mark(event.target); });
})();
