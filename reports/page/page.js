"use strict";
(function () {
  var folds = Array.from(document.querySelectorAll("details"));
  // What is folded is unfolded for a link that leads into it, and for printing.
  function unfold(e) {
    for (var d = e && e.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
  }
  function lead() {
    var e = location.hash.length > 1 && document.getElementById(location.hash.slice(1));
    if (e && e.closest("details")) { unfold(e); e.scrollIntoView(); }
  }
  document.addEventListener("click", function (e) {
    var a = e.target.closest("a[href^='#']");
    if (a) unfold(document.getElementById(a.getAttribute("href").slice(1)));
  });
  addEventListener("hashchange", lead);
  var folded = [];
  addEventListener("beforeprint", function () {
    folded = folds.filter(function (d) { return !d.open; });
    folded.forEach(function (d) { d.open = true; });
  });
  addEventListener("afterprint", function () { folded.forEach(function (d) { d.open = false; }); folded = []; });
  var all = document.createElement("button");
  all.type = "button";
  all.id = "unfold";
  all.textContent = "Unfold everything";
  all.addEventListener("click", function () {
    var open = folds.some(function (d) { return !d.open; });
    folds.forEach(function (d) { d.open = open; });
    all.textContent = open ? "Fold everything" : "Unfold everything";
  });
  document.getElementById("decide").closest("section").before(all);
  lead();

  var list = document.getElementById("list"), sieve = document.getElementById("sieve");
  if (!list || !sieve) return;
  var body = list.tBodies[0], rows = Array.from(body.rows), drawn = new Map();
  var texts = rows.map(function (r) { return (r.textContent + " " + r.dataset.f).toLowerCase(); });
  document.querySelectorAll("li[data-f]").forEach(function (li) { drawn.set(li.dataset.f, li); });
  // Bays: what is filtered out of one bay by bay is not shown in it.
  var bundles = Array.from(document.querySelectorAll(".bundle")), bays = Array.from(document.querySelectorAll(".bay"));
  rows.forEach(function (r, i) { // runs, files and notes stand in the bay's part alone
    var li = drawn.get(r.dataset.f);
    if (li) texts[i] += " " + li.textContent.toLowerCase();
  });
  function chosen(id) { var e = document.getElementById(id); return e ? e.value : ""; }
  function count(n, one, many) { return n + " " + (n === 1 ? one : many); }
  function empty(box) { return !box.querySelector("li.f:not([hidden])"); }
  function filter() {
    var trade = chosen("by-trade"), kind = chosen("by-kind"), state = chosen("by-state"), storey = chosen("by-storey"),
      owner = chosen("by-owner"), late = chosen("by-late"), bay = chosen("by-bay");
    var words = chosen("by-text").toLowerCase().split(/\s+/).filter(Boolean), shown = 0;
    rows.forEach(function (r, i) {
      var d = r.dataset, out = trade && d.t !== trade || kind && d.k !== kind || state && d.s !== state || storey && d.y !== storey ||
        owner && d.o !== owner || late && d.l !== late || bay && d.b !== bay ||
        words.some(function (w) { return !texts[i].includes(w); });
      r.hidden = !!out;
      var li = drawn.get(d.f);
      if (li) li.hidden = !!out;
      if (!out) shown++;
    });
    bundles.forEach(function (b) { b.hidden = empty(b); });
    bays.forEach(function (b) { b.hidden = empty(b); });
    var left = new Set(rows.filter(function (r) { return !r.hidden; }).map(function (r) { return r.dataset.b; })).size;
    document.getElementById("count").textContent = shown === rows.length
      ? "All " + count(rows.length, "finding", "findings") + " in " + count(left, "bay", "bays") + "."
      : shown + " of " + count(rows.length, "finding", "findings") + " in " + count(left, "bay", "bays") + ", here and bay by bay.";
  }
  sieve.hidden = false;
  sieve.addEventListener("input", filter);
  sieve.addEventListener("reset", function () { setTimeout(filter, 0); });
  sieve.addEventListener("submit", function (e) { e.preventDefault(); });
  filter();

  // A link to a finding that the filter hides shows everything first.
  function reveal() {
    var id = location.hash.slice(1), e = id && document.getElementById(id);
    if (e && e.closest("[hidden]")) { sieve.reset(); filter(); e.scrollIntoView(); }
  }
  document.addEventListener("click", function (e) {
    var a = e.target.closest("a[href^='#']"), to = a && document.getElementById(a.getAttribute("href").slice(1));
    if (to && to.closest("[hidden]")) { sieve.reset(); filter(); }
  });
  addEventListener("hashchange", reveal);

  var first = new Map(rows.map(function (r, i) { return [r, i]; }));
  var order = new Intl.Collator("en", { numeric: true, sensitivity: "base" });
  var heads = Array.from(list.tHead.rows[0].cells), caption = list.caption, plain = caption.textContent;
  heads.forEach(function (th, col) {
    var b = document.createElement("button");
    b.type = "button";
    b.append(...th.childNodes);
    th.append(b);
    th.setAttribute("aria-sort", "none");
    b.addEventListener("click", function () {
      var was = th.getAttribute("aria-sort"), number = "number" in th.dataset;
      // Amounts begin with the largest; a third press brings the order by bay back.
      var turns = number ? ["descending", "ascending", "none"] : ["ascending", "descending", "none"];
      var now = turns[was === "none" ? 0 : turns.indexOf(was) + 1], sign = now === "descending" ? -1 : 1;
      heads.forEach(function (h) { h.setAttribute("aria-sort", "none"); });
      th.setAttribute("aria-sort", now);
      rows.slice().sort(function (x, y) {
        if (now === "none") return first.get(x) - first.get(y);
        var c = x.cells[col], d = y.cells[col];
        var by = number ? Number(c.dataset.v) - Number(d.dataset.v) : order.compare(c.textContent, d.textContent);
        return sign * by || first.get(x) - first.get(y);
      }).forEach(function (r) { body.append(r); });
      caption.textContent = now === "none" ? plain : "All findings, by " + b.textContent.toLowerCase() + (now === "descending" ? ", last first" : "") ;
    });
  });
})();
