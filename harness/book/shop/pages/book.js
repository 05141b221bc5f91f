"use strict";
(function () {
  const data = JSON.parse(document.getElementById("data").textContent);
  const STORE = "harness-book:" + data.digest;
  const FORM = "harness shop book 1";
  const all = (what, root) => Array.from((root || document).querySelectorAll(what));
  const one = (id) => document.getElementById(id);

  /* ------------------------------------------------------------ what is told to the reader */
  let telling = 0;
  function tell(text) {
    one("told").textContent = text;
    window.clearTimeout(telling);
    telling = window.setTimeout(() => { one("told").textContent = ""; }, 6000);
  }

  /* ------------------------------------------------------------ ticks, readings, notes */
  const kept = { ticks: {}, readings: {}, notes: {} };
  let keeps = true;
  function plainTexts(from) {
    const found = {};
    if (from && typeof from === "object" && !Array.isArray(from))
      for (const [key, value] of Object.entries(from)) found[key] = String(value).slice(0, 500);
    return found;
  }
  function take(from) {
    for (const kind of Object.keys(kept)) kept[kind] = Object.assign(Object.create(null), plainTexts(from && from[kind]));
  }
  function read() {
    try { take(JSON.parse(window.localStorage.getItem(STORE) || "{}")); }
    catch (error) { take({}); keeps = false; }
  }
  function write() {
    try { window.localStorage.setItem(STORE, JSON.stringify(kept)); }
    catch (error) {
      if (keeps) tell("This browser does not keep ticks. Save them to a file before you close the page.");
      keeps = false;
    }
  }
  /* A figure as a meter shows it, "12.1", "300 mV", "0,4 V", in the unit of its test; NaN where it is none. */
  const PREFIX = { "": 1, m: 1e-3, u: 1e-6, "\u00b5": 1e-6, "\u03bc": 1e-6, k: 1e3, M: 1e6 };
  const BASES = { v: "V", a: "A", ohm: "ohm", ohms: "ohm", "\u2126": "ohm", "\u03c9": "ohm" };
  function unitOf(text) {
    for (const prefix of Object.keys(PREFIX)) {
      const rest = text.slice(prefix.length).toLowerCase();
      if (text.startsWith(prefix) && Object.prototype.hasOwnProperty.call(BASES, rest)) return { base: BASES[rest], scale: PREFIX[prefix] };
    }
    return { base: "", scale: 1 };
  }
  function number(text, unit) {
    const plain = text.trim().replace(/\u2212/g, "-").replace(",", ".");
    const found = /^([+-]?(?:\d+\.?\d*|\.\d+))\s*([a-zA-Z\u00b5\u03bc\u2126\u03a9]*)$/.exec(plain);
    if (!found) return NaN;
    if (!found[2]) return Number(found[1]);
    const is = unitOf(found[2]), own = unitOf(unit);
    return is.base && is.base === own.base ? Number(found[1]) * is.scale / own.scale : NaN;
  }
  function figure(value) { return value.toFixed(Math.abs(value) < 1 ? 3 : Math.abs(value) < 100 ? 2 : 1); }
  function judge(input) {
    const row = input.closest("[data-reading-row]");
    const said = row.querySelector("[data-verdict]");
    const is = input.dataset;
    row.classList.remove("good", "bad");
    input.removeAttribute("aria-invalid");
    said.textContent = "";
    if (!input.value.trim()) return;
    const value = number(input.value, is.unit);
    const low = "low" in is ? Number(is.low) : -Infinity;
    const high = "high" in is ? Number(is.high) : Infinity;
    const judged = low < 0 && "low" in is ? value : Math.abs(value);
    const points = (words) => (words ? ". Points to: " + words : "");
    const shown = is.unit === "ohm" ? "\u03a9" : is.unit === "Mohm" ? "M\u03a9" : is.unit;
    if (Number.isNaN(value)) said.textContent = "not a number of " + shown;
    else if (judged < low) said.textContent = "below the band by " + figure(low - judged) + " " + shown + points(is.pointsLow);
    else if (judged > high) said.textContent = "above the band by " + figure(judged - high) + " " + shown + points(is.pointsHigh);
    const good = said.textContent === "";
    row.classList.add(good ? "good" : "bad");
    if (good) said.textContent = "in the band";
    else input.setAttribute("aria-invalid", "true");
  }
  function show(root) {
    for (const box of all("[data-tick]", root)) box.checked = box.dataset.tick in kept.ticks;
    for (const field of all("[data-reading]", root)) { field.value = kept.readings[field.dataset.reading] || ""; judge(field); }
    for (const field of all("[data-note]", root)) field.value = kept.notes[field.dataset.note] || "";
  }
  function count() {
    for (const place of all("[data-progress]")) {
      const boxes = all("[data-tick]", one(place.dataset.progress));
      place.textContent = boxes.length ? boxes.filter((box) => box.checked).length + "/" + boxes.length : "";
    }
  }
  document.addEventListener("input", (event) => {
    const field = event.target, is = field.dataset || {};
    if ("tick" in is) {
      if (field.checked) kept.ticks[is.tick] = "1"; else delete kept.ticks[is.tick];
      for (const box of all("[data-tick]")) if (box.dataset.tick === is.tick) box.checked = field.checked;
      count();
    } else if ("reading" in is) {
      kept.readings[is.reading] = field.value;
      if (!field.value.trim()) delete kept.readings[is.reading];
      for (const other of all("[data-reading]")) if (other.dataset.reading === is.reading) { if (other !== field) other.value = field.value; judge(other); }
    } else if ("note" in is) {
      kept.notes[is.note] = field.value;
      if (!field.value) delete kept.notes[is.note];
    } else return;
    write();
  });

  /* ------------------------------------------------------------ saved to a file, and back */
  one("save").addEventListener("click", () => {
    const text = JSON.stringify({ form: FORM, machine: data.machine, digest: data.digest, ticks: kept.ticks, readings: kept.readings, notes: kept.notes }, null, 1);
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = "ticks-" + data.digest + ".json";
    link.click();
    window.setTimeout(() => URL.revokeObjectURL(link.href), 1000);
    tell("Ticks and readings saved to " + link.download);
  });
  one("load").addEventListener("change", (event) => {
    const file = event.target.files[0];
    if (!file) return;
    file.text().then((text) => {
      const found = JSON.parse(text);
      if (!found || found.form !== FORM) throw new Error("form");
      take(found);
      write(); show(); count();
      tell(found.digest === data.digest ? "Ticks and readings loaded." : "Loaded from a book of another survey: check what you rely on, the design may have changed.");
    }).catch(() => tell("That file holds no ticks of a shop book; nothing was changed."));
    event.target.value = "";
  });

  /* ------------------------------------------------------------ light and dark, print */
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  function theme(want) {
    if (want) document.documentElement.dataset.theme = want;
    const now = document.documentElement.dataset.theme || (dark.matches ? "dark" : "light");
    one("theme").setAttribute("aria-pressed", String(now === "dark"));
    return now;
  }
  one("theme").addEventListener("click", () => {
    const next = theme() === "dark" ? "light" : "dark";
    theme(next);
    try { window.localStorage.setItem("harness-book:theme", next); } catch (error) { keeps = false; }
  });
  dark.addEventListener("change", () => theme());
  try { theme(window.localStorage.getItem("harness-book:theme")); } catch (error) { theme(); }
  one("print").addEventListener("click", () => window.print());

  /* ------------------------------------------------------------ wires and parts */
  const pieces = new Map(all("[data-piece]").map((each) => [each.dataset.piece, each]));
  const cards = new Map(all("[data-part-card]").map((each) => [each.dataset.partCard, each]));
  const drawn = { wire: new Map(), part: new Map(), splice: new Map() };
  for (const kind of Object.keys(drawn))
    for (const each of all(".view [data-" + kind + "]")) {
      const name = each.dataset[kind];
      if (!drawn[kind].has(name)) drawn[kind].set(name, []);
      drawn[kind].get(name).push(each);
    }
  const runs = all(".view [data-run]").map((each) => [each, new Set((each.dataset.wires || "").split(" "))]);

  function halo(group) {
    const line = group.querySelector("polyline");
    if (!line) return;
    const ring = document.createElementNS("http://www.w3.org/2000/svg", "polyline");
    ring.setAttribute("points", line.getAttribute("points"));
    ring.setAttribute("stroke-width", String(Number(line.getAttribute("stroke-width") || 1) + 2.6));
    ring.setAttribute("class", "halo");
    group.insertBefore(ring, group.firstChild);
  }
  function dim() {
    document.body.classList.remove("choosing");
    for (const each of all(".view .halo")) each.remove();
    for (const each of all(".view .lit, .view .way, .view .chosen")) each.classList.remove("lit", "way", "chosen");
  }
  function mark(kind, name, how) {
    for (const group of drawn[kind].get(name) || []) { group.classList.add("lit", how); if (kind === "wire") halo(group); }
  }
  function light(number) {
    dim();
    document.body.classList.add("choosing");
    const [wires, parts] = data.ways[number] || [[], []];
    mark("wire", number, "chosen");
    for (const each of wires) mark("wire", each, "way");
    for (const each of parts) { mark("part", each, "way"); mark("splice", each, "way"); }
    for (const [group, inside] of runs) if (inside.has(number)) { group.classList.add("lit"); halo(group); }
  }
  function button(text, act) {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "plainbutton";
    made.textContent = text;
    made.addEventListener("click", act);
    return made;
  }
  function list(title, names, act) {
    const box = document.createElement("p");
    box.className = "way-list";
    box.append(title);
    for (const each of names) box.append(button(each, () => act(each)));
    return box;
  }
  function goTo(target) {
    const big = document.querySelector(".plate.big");
    if (big) enlarge(big, false);
    for (const each of all(".flash")) each.classList.remove("flash");
    target.classList.add("flash");
    target.setAttribute("tabindex", "-1");
    target.scrollIntoView({ block: "start" });
    target.focus({ preventScroll: true });
  }
  function open(title, source, more) {
    const body = one("panel-body");
    body.replaceChildren();
    if (source) {
      const copy = source.cloneNode(true);
      copy.removeAttribute("id");
      for (const each of ["data-piece", "data-part-card", "data-find", "data-say", "tabindex"]) copy.removeAttribute(each);
      copy.classList.remove("flash");
      body.append(copy);
    }
    for (const each of more) body.append(each);
    one("panel-title").textContent = title;
    one("panel").hidden = false;
    one("panel").scrollTop = 0;
    show(body);
    one("panel-title").focus({ preventScroll: true });
  }
  function openWire(number) {
    light(number);
    const [wires, parts] = data.ways[number] || [[], []];
    const source = pieces.get(number);
    const more = [];
    if (source) more.push(button("Go to its line in the list", () => goTo(source)));
    if (wires.length) more.push(list("On its way: ", wires, openWire));
    if (parts.length) more.push(list("Through: ", parts, openPart));
    open("Wire " + number, source, more);
  }
  function openPart(name) {
    dim();
    for (const kind of ["part", "splice"]) mark(kind, name, "chosen");
    const source = cards.get(name);
    open(name, source, source ? [button("Go to its hook-up", () => goTo(source))] : []);
  }
  function openRun(group) {
    dim();
    const wires = (group.dataset.wires || "").split(" ").filter(Boolean);
    open("Run " + group.dataset.run, null, [list("Wires in it: ", wires, openWire)]);
  }
  function close() { one("panel").hidden = true; dim(); }
  one("panel-close").addEventListener("click", close);
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    const big = document.querySelector(".plate.big");
    if (!one("panel").hidden) close();
    else if (big) enlarge(big, false);
    one("hits").hidden = true;
  });
  document.addEventListener("click", (event) => {
    const link = event.target.closest("[data-light],[data-open-part],[data-open-wire]");
    if (!link) return;
    if ("light" in link.dataset) {
      openWire(link.dataset.light);
      const group = (drawn.wire.get(link.dataset.light) || [])[0];
      if (group) group.closest("figure").scrollIntoView({ block: "start" });
    } else if (link.closest(".panel")) {
      event.preventDefault();
      if ("openPart" in link.dataset) openPart(link.dataset.openPart); else openWire(link.dataset.openWire);
    }
  });

  /* ------------------------------------------------------------ zoom and pan */
  const NEAR = [0, 5, 10, 16];
  function touched(x, y) {
    for (const far of NEAR)
      for (let turn = 0; turn < (far ? 8 : 1); turn += 1) {
        const at = document.elementFromPoint(x + far * Math.cos(turn * Math.PI / 4), y + far * Math.sin(turn * Math.PI / 4));
        const group = at && at.closest(".view [data-wire],.view [data-part],.view [data-splice]");
        if (group) return group;
      }
    const at = document.elementFromPoint(x, y);
    return at && at.closest(".view [data-run]");
  }
  function enlarge(plate, big) {
    plate.classList.toggle("big", big);
    plate.querySelector("[data-zoom=big]").setAttribute("aria-pressed", String(big));
  }
  for (const plate of all(".plate")) {
    const view = plate.querySelector(".view"), svg = view.querySelector("svg");
    const whole = svg.getAttribute("viewBox").split(" ").map(Number);
    let box = whole.slice();
    const fingers = new Map();
    let moved = 0;
    const scale = () => { const area = svg.getBoundingClientRect(); return Math.max(box[2] / area.width, box[3] / area.height); };
    function set(next) {
      const wide = Math.min(Math.max(next[2], whole[2] / 24), whole[2]), high = wide * whole[3] / whole[2];
      box = [Math.min(Math.max(next[0], whole[0]), whole[0] + whole[2] - wide), Math.min(Math.max(next[1], whole[1]), whole[1] + whole[3] - high), wide, high];
      svg.setAttribute("viewBox", box.map((each) => each.toFixed(2)).join(" "));
      view.classList.toggle("zoomed", wide < whole[2] * 0.999);
    }
    function zoom(by, x, y) {
      const wide = box[2] / by, high = box[3] / by;
      const cx = x === undefined ? 0.5 : x, cy = y === undefined ? 0.5 : y;
      set([box[0] + (box[2] - wide) * cx, box[1] + (box[3] - high) * cy, wide, high]);
    }
    function spot(event) { const area = svg.getBoundingClientRect(); return [(event.clientX - area.left) / area.width, (event.clientY - area.top) / area.height]; }
    for (const each of all("[data-zoom]", plate)) each.addEventListener("click", () => {
      const what = each.dataset.zoom;
      if (what === "in") zoom(1.6); else if (what === "out") zoom(1 / 1.6); else if (what === "all") set(whole); else enlarge(plate, !plate.classList.contains("big"));
    });
    view.addEventListener("wheel", (event) => {
      if (!event.ctrlKey && !event.metaKey && !plate.classList.contains("big")) return;
      event.preventDefault();
      const [x, y] = spot(event);
      zoom(event.deltaY < 0 ? 1.2 : 1 / 1.2, x, y);
    }, { passive: false });
    view.addEventListener("keydown", (event) => {
      const by = { ArrowLeft: [-0.15, 0], ArrowRight: [0.15, 0], ArrowUp: [0, -0.15], ArrowDown: [0, 0.15] }[event.key];
      if (by && view.classList.contains("zoomed")) set([box[0] + by[0] * box[2], box[1] + by[1] * box[3], box[2], box[3]]);
      else if (event.key === "+" || event.key === "=") zoom(1.6);
      else if (event.key === "-") zoom(1 / 1.6);
      else if (event.key === "0") set(whole);
      else return;
      event.preventDefault();
    });
    view.addEventListener("pointerdown", (event) => { fingers.set(event.pointerId, [event.clientX, event.clientY]); if (fingers.size === 1) moved = 0; });
    view.addEventListener("pointermove", (event) => {
      const from = fingers.get(event.pointerId);
      if (!from) return;
      const to = [event.clientX, event.clientY];
      moved += Math.hypot(to[0] - from[0], to[1] - from[1]);
      if (fingers.size === 2) {
        const other = Array.from(fingers.entries()).find(([id]) => id !== event.pointerId)[1];
        const before = Math.hypot(from[0] - other[0], from[1] - other[1]), after = Math.hypot(to[0] - other[0], to[1] - other[1]);
        const area = svg.getBoundingClientRect();
        if (before > 0) zoom(after / before, ((to[0] + other[0]) / 2 - area.left) / area.width, ((to[1] + other[1]) / 2 - area.top) / area.height);
      } else if (view.classList.contains("zoomed") && moved > 6) {
        if (!view.hasPointerCapture(event.pointerId)) view.setPointerCapture(event.pointerId);
        set([box[0] - (to[0] - from[0]) * scale(), box[1] - (to[1] - from[1]) * scale(), box[2], box[3]]);
      }
      fingers.set(event.pointerId, to);
    });
    for (const end of ["pointercancel", "pointerleave"]) view.addEventListener(end, (event) => fingers.delete(event.pointerId));
    view.addEventListener("pointerup", (event) => {
      const alone = fingers.size === 1;
      fingers.delete(event.pointerId);
      if (!alone || moved > 6) return;
      const group = touched(event.clientX, event.clientY);
      if (!group) { close(); return; }
      if ("wire" in group.dataset) openWire(group.dataset.wire);
      else if ("run" in group.dataset) openRun(group);
      else openPart(group.dataset.part || group.dataset.splice);
      const under = event.clientY + 40 - one("panel").getBoundingClientRect().top;
      if (under > 0 && !plate.classList.contains("big")) window.scrollBy(0, under);
    });
  }

  /* ------------------------------------------------------------ search */
  const index = all("[data-find]").map((each) => ({ text: each.dataset.find.toLowerCase(), exact: (each.dataset.piece || each.dataset.partCard || "").toLowerCase(), words: each.dataset.words || "", say: each.dataset.say, target: each }));
  const MOST = 40;
  function search(text) {
    const words = text.toLowerCase().split(/\s+/).filter(Boolean);
    const whole = text.trim().toLowerCase();
    const found = index.filter((each) => words.every((word) => each.text.includes(word)));
    const rank = (each) => each.exact === whole ? 0 : each.exact.startsWith(whole) ? 1 : each.words.startsWith(whole) ? 2 : 3;
    return found.map((each, at) => [rank(each), at, each]).sort((a, b) => a[0] - b[0] || a[1] - b[1]).map((each) => each[2]);
  }
  one("find").addEventListener("input", () => {
    const text = one("find").value;
    const rows = [];
    const found = text.trim() ? search(text) : [];
    for (const each of found.slice(0, MOST)) {
      const row = document.createElement("li"), link = document.createElement("a");
      link.href = "#" + each.target.id;
      link.textContent = each.say;
      link.addEventListener("click", (event) => {
        event.preventDefault();
        one("hits").hidden = true;
        goTo(each.target);
        if ("piece" in each.target.dataset) light(each.target.dataset.piece);
      });
      row.append(link);
      rows.push(row);
    }
    one("hit-list").replaceChildren(...rows);
    one("hit-count").textContent = found.length > MOST ? found.length + " found, the first " + MOST : found.length + " found";
    one("hits").hidden = !text.trim();
  });
  one("find").addEventListener("keydown", (event) => {
    if (event.key === "Enter") { const first = one("hit-list").querySelector("a"); if (first) first.click(); }
  });

  if (window.matchMedia("(max-width: 60rem)").matches) document.querySelector("nav details").open = false;
  read(); show(); count();
})();
