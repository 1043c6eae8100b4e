// Comfort only: every page works without this file.
(function () {
  "use strict";
  document.documentElement.classList.add("js");

  // steppers: plus and minus by the field's own step, held between its ends
  document.addEventListener("click", function (event) {
    var button = event.target.closest("button[data-by]");
    if (!button) return;
    var input = document.getElementById(button.getAttribute("aria-controls"));
    var step = Number(input.dataset.step) * Number(button.dataset.by);
    var low = input.dataset.low === "" ? -Infinity : Number(input.dataset.low);
    var high = input.dataset.high === "" ? Infinity : Number(input.dataset.high);
    var now = input.value.trim() === "" ? null : Number(input.value.replace(",", "."));
    if (now !== null && !isFinite(now)) return;
    var next;
    if (now === null) {
      var start = Number(input.dataset.start || 0);
      next = step > 0 ? start + (start === 0 ? step : 0) : start;
    } else {
      next = now + step;
    }
    next = Math.min(high, Math.max(low, Math.round(next * 100) / 100));
    input.value = String(next);
    input.dispatchEvent(new Event("change", { bubbles: true }));
  });

  // one tap is one entry: a second tap while sending does nothing
  document.addEventListener("submit", function (event) {
    var form = event.target;
    if (form.dataset.sent) { event.preventDefault(); return; }
    form.dataset.sent = "1";
    setTimeout(function () { delete form.dataset.sent; }, 8000);
  });
  window.addEventListener("pageshow", function () {
    document.querySelectorAll("form").forEach(function (f) { delete f.dataset.sent; });
  });

  // filters that answer at once
  document.querySelectorAll("form[data-now] select").forEach(function (select) {
    select.addEventListener("change", function () { select.form.requestSubmit(); });
  });
  var find = document.querySelector("input[data-find]");
  if (find) {
    var rows = Array.prototype.slice.call(document.querySelectorAll("[data-words]"));
    find.addEventListener("input", function () {
      var wanted = find.value.toLowerCase().split(/\s+/).filter(Boolean);
      rows.forEach(function (row) {
        var words = row.dataset.words;
        row.hidden = !wanted.every(function (w) { return words.indexOf(w) >= 0; });
      });
      // rows in folds: a fold opens where something is found in it, and goes where nothing is
      if (find.dataset.find !== "details") return;
      document.querySelectorAll("details").forEach(function (fold) {
        var left = fold.querySelectorAll("[data-words]:not([hidden])").length;
        fold.hidden = left === 0;
        fold.open = wanted.length > 0 && left > 0;
      });
    });
  }
})();
