// What was counted without signal: each count waits on the phone under its own id until the books have it.
(function () {
  "use strict";
  var PREFIX = "tideover waits ", AGAIN_MS = 30000;
  var note = document.querySelector("[data-waits]");
  var busy = false, listeners = [];

  function all() {
    var found = [];
    try {
      for (var i = 0; i < localStorage.length; i += 1) {
        var key = localStorage.key(i);
        if (key.indexOf(PREFIX) !== 0) continue;
        try { found.push(JSON.parse(localStorage.getItem(key))); } catch (e) { /* not ours to throw away */ }
      }
    } catch (e) { /* a phone that keeps nothing */ }
    return found.filter(function (c) { return c && c.id; }).sort(function (a, b) { return a.kept_ms - b.kept_ms; });
  }
  // true where the phone has it
  function put(count) {
    try { localStorage.setItem(PREFIX + count.id, JSON.stringify(count)); } catch (e) { return false; }
    changed();
    return true;
  }
  function drop(id) {
    try { localStorage.removeItem(PREFIX + id); } catch (e) { /* nothing was kept */ }
    changed();
  }
  function changed(said) {
    var waiting = all(), refused = waiting.filter(function (c) { return c.problem; }).length;
    var words = said || "";
    if (waiting.length > refused) {
      var n = waiting.length - refused;
      words += (words ? " " : "") + n + (n === 1 ? " count waits" : " counts wait") + " on this phone for signal.";
    }
    if (refused) words += (words ? " " : "") + refused + (refused === 1 ? " count was" : " counts were") + " not taken by the books.";
    note.textContent = words;
    if (refused || waiting.length) {
      var link = document.createElement("a");
      link.href = "/counter"; link.textContent = "See them";
      note.append(" ", link);
    }
    note.hidden = words === "";
    listeners.forEach(function (f) { f(waiting); });
  }

  function token() {
    return fetch("/counter/token", { cache: "no-store", credentials: "same-origin" }).then(function (answer) {
      if (!answer.ok) throw new Error("no token");
      return answer.json();
    }).then(function (found) { return found.token; });
  }
  // resolves to true when the books have it or refuse it, false when it has to wait
  function sendOne(count, tried) {
    return token().then(function (mine) {
      var form = new URLSearchParams();
      form.set("token", mine);
      ["id", "hive", "bees_in", "with_pollen", "minutes", "shade_temp", "at", "who", "form_units"].forEach(function (n) {
        form.set(n, count[n] || "");
      });
      return fetch("/counter", { method: "POST", body: form, headers: { accept: "application/json" }, credentials: "same-origin" });
    }).then(function (answer) {
      if (answer.ok) { drop(count.id); return true; }
      if (answer.status === 403 && !tried) return sendOne(count, true);
      if (answer.status !== 422 && answer.status !== 409) return false;
      return answer.json().then(function (found) {
        count.problem = (found.problems || []).join(" ");
        put(count);
        return true;
      });
    }).catch(function () { return false; });
  }
  function send() {
    var ready = all().filter(function (c) { return !c.problem; });
    if (busy || !ready.length) return;
    busy = true;
    var sent = 0;
    ready.reduce(function (before, count) {
      return before.then(function (going) {
        if (!going) return false;
        return sendOne(count).then(function (done) {
          if (done && !count.problem) sent += 1;
          return done;
        });
      });
    }, Promise.resolve(true)).then(function () {
      busy = false;
      if (sent) changed(sent + (sent === 1 ? " count" : " counts") + " made without signal written down.");
    });
  }

  window.tideoverWaits = { all: all, put: put, drop: drop, send: send, listen: function (f) { listeners.push(f); f(all()); } };
  changed();
  window.addEventListener("online", send);
  window.addEventListener("storage", function () { changed(); });
  document.addEventListener("visibilitychange", function () { if (!document.hidden) send(); });
  setInterval(send, AGAIN_MS);
  // after the page's own script has said which count this page just wrote
  window.addEventListener("load", send);
  if ("serviceWorker" in navigator) {
    navigator.serviceWorker.register("/offline.js").catch(function () { /* the pages work without it, with signal */ });
  }
})();
