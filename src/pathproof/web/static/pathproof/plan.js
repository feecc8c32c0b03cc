// The plan of a storey: zoom, the number under the finger, things placed by tap and moved by drag.
(() => {
  "use strict";
  const box = document.getElementById("plan");
  if (!box || !window.L) return;
  const { floor, token } = box.dataset;
  const [x0, y0, x1, y1] = box.dataset.corners.split(" ").map(Number);
  const bounds = [[y0, x0], [y1, x1]];
  const [left, low, right, high] = box.dataset.extent.split(" ").map(Number);
  const under = document.getElementById("under");
  const pick = document.getElementById("thing");
  const undo = document.getElementById("undo");
  const mapOf = document.getElementById("map-of");
  const AGAIN_MS = 5000;
  const TOO_LONG_MS = 20000;
  let revision = box.dataset.revision;
  let key = box.dataset.key;

  box.hidden = false;
  document.getElementById("pick").hidden = false;
  document.querySelector(".plan-said").hidden = false;
  const wanted = (box.clientWidth * (high - low)) / (right - left);
  box.style.height = `${Math.min(0.72 * window.innerHeight, Math.max(360, wanted))}px`;
  const map = L.map(box, { crs: L.CRS.Simple, zoomSnap: 0.25, minZoom: -1, maxZoom: 8, attributionControl: false });
  map.fitBounds([[low, left], [high, right]]);
  map.createPane("cells").style.zIndex = 250;
  L.imageOverlay(box.dataset.plan, bounds).addTo(map);
  if (box.dataset.picture) L.imageOverlay(box.dataset.picture, bounds).addTo(map);

  // -- what is said ------------------------------------------------------------------------------
  let spoken = 0;
  const say = (text) => { spoken += 1; under.textContent = text; };
  const metres = (at) => `x ${at.lng.toFixed(2)}, y ${at.lat.toFixed(2)} m`.replaceAll("-", "\u2212");
  const addressOf = (pattern, thing) => {
    const [kind, ...id] = thing.split("/");
    return pattern.replace("KIND", kind).replace("THING", encodeURIComponent(id.join("/")));
  };
  const idle = () => say(mapOf.value ? "Tap the plan for the value there." : "Choose a map, and a tap says the value there; or choose a thing to place or move.");
  const later = (ms) => new Promise((done) => setTimeout(done, ms));

  async function read(url) {
    for (let tries = 0; tries < 120; tries += 1) {
      const answer = await fetch(url, { headers: { Accept: "application/json" } });
      if (answer.status !== 202) return answer;
      await later(1000);
    }
    throw new Error("it takes too long");
  }

  // -- the map -----------------------------------------------------------------------------------
  let shown = null;
  let layers = [];

  function valueAt(at) {
    if (!shown) return "";
    const column = Math.floor((at.lng - shown.origin[0]) / shown.cell);
    const row = Math.floor((at.lat - shown.origin[1]) / shown.cell);
    const inside = column >= 0 && row >= 0 && column < shown.columns && row < shown.rows;
    const held = inside ? shown.values[row * shown.columns + column] : null;
    if (held === null) return "nothing is mapped here";
    const value = held / shown.factor;
    const step = shown.steps[shown.edges.filter((edge) => value >= edge).length];
    if (shown.unit === "ratio") return `about ${held} in 100 (${step})`;
    const sign = shown.unit === "dB" && value > 0 ? "+" : "";
    return `${sign}${value.toFixed(1)} ${shown.unit} (${step})`.replaceAll("-", "\u2212");
  }

  function legend() {
    const list = document.getElementById("legend");
    const said = document.getElementById("map-said");
    list.replaceChildren();
    said.replaceChildren();
    list.hidden = !shown;
    const item = (text, css, colour) => {
      const line = document.createElement("li");
      const swatch = document.createElement("span");
      swatch.className = css;
      if (colour) swatch.style.background = colour;
      line.append(swatch, text);
      list.append(line);
    };
    if (!shown) return;
    shown.steps.forEach((name, i) => item(name, "swatch", shown.tints[i]));
    if (shown.lines.length) item("requirement just met", "swatch line", "");
    [`${shown.label}.`, ...shown.said].forEach((text) => {
      const line = document.createElement("p");
      line.textContent = text;
      said.append(line);
    });
  }

  async function showMap() {
    const what = mapOf.value;
    layers.forEach((layer) => layer.remove());
    layers = [];
    shown = null;
    legend();
    if (!what) return idle();
    say("Working out the map\u2026");
    const query = `?map=${encodeURIComponent(what)}`;
    try {
      const address = box.dataset.map.replace(/map-\d+/, `map-${revision}`) + query;
      const answer = await read(address);
      const found = await answer.json();
      if (mapOf.value !== what) return;
      if (!answer.ok) return say(found.said.join(" "));
      shown = found;
      const [x, y] = found.origin;
      const area = [[y, x], [y + found.rows * found.cell, x + found.columns * found.cell]];
      const cells = box.dataset.cells.replace(/map-\d+/, `map-${revision}`) + query;
      layers.push(L.imageOverlay(cells, area, { className: "cells", pane: "cells" }).addTo(map));
      const lines = found.lines.map((line) => line.map(([a, b]) => [b, a]));
      const ink = [{ color: "#fff", weight: 6 }, { color: "#1a1c20", weight: 2 }];
      if (lines.length) ink.forEach((style) => layers.push(L.polyline(lines, { ...style, interactive: false }).addTo(map)));
      legend();
      idle();
    } catch (error) {
      say("The map did not come: no answer from the server. Choose it again.");
    }
  }

  // -- things ------------------------------------------------------------------------------------
  const things = new Map();
  document.querySelectorAll("[data-group]").forEach((part) => {
    const group = document.createElement("optgroup");
    group.label = part.dataset.group;
    part.querySelectorAll("[data-thing]").forEach((row) => {
      const { thing, kind, name, height, x, y, key: short } = row.dataset;
      things.set(thing, { thing, kind, name, height, x, y, key: short, mark: null, at: null });
      group.append(new Option(kind === "panel" ? name : `${short} ${name}`, thing));
    });
    if (group.children.length) pick.append(group);
  });
  let last = null;
  let asking = false;
  let asked = null;
  let chosen = null;
  let passed = new Set();

  const FINGER_PX = 22;
  const LABEL_PX = [26, 22];
  const CLOSEST_ZOOM = 6;
  const placed = () => [...things.values()].filter((one) => one.mark);
  const nameOf = (one) => (one.kind === "panel" ? one.name : `${one.key} ${one.name}`);

  function iconOf(one) {
    const label = document.createElement("b");
    label.textContent = one.kind === "panel" ? "P" : one.key;
    return L.divIcon({ className: `mark ${one.kind}`, html: label, iconSize: [44, 44] });
  }

  // Where labels would cover each other, one keeps its own and the others are dots, until zoomed.
  function label() {
    const rank = (one) => (one === chosen ? 0 : 1) + (one.kind === "panel" ? 0 : 2);
    const labelled = [];
    placed().sort((a, b) => rank(a) - rank(b)).forEach((one) => {
      const here = map.project(one.at);
      const covered = labelled.some((x) => Math.abs(x.x - here.x) < LABEL_PX[0] && Math.abs(x.y - here.y) < LABEL_PX[1]);
      if (!covered) labelled.push(here);
      one.mark.getElement().classList.toggle("dot", covered);
      one.mark.getElement().classList.toggle("chosen", one === chosen);
      one.mark.setZIndexOffset(one === chosen ? 20000 : covered ? 0 : 10000);
    });
  }

  // The things under a finger, nearest first.
  function underFinger(where) {
    const far = (one) => map.latLngToContainerPoint(one.at).distanceTo(where);
    return placed().filter((one) => far(one) <= FINGER_PX).sort((a, b) => far(a) - far(b));
  }

  // A tap takes the nearest thing, the next tap there the next one, so that each can be had.
  function tapped(event) {
    const where = map.mouseEventToContainerPoint(event.originalEvent);
    if (chosen && !chosen.at) return at(map.containerPointToLatLng(where));
    const near = underFinger(where);
    if (!near.includes(chosen)) passed = new Set();
    const next = near.find((one) => one !== chosen && !passed.has(one));
    if (!next) passed = new Set();
    const taken = next || near.find((one) => one !== chosen) || chosen;
    if (!taken) return undefined;
    passed.add(taken);
    pick.value = taken.thing;
    return choose(near.length > 1 ? ` Of ${near.length} things here; tap again for the next, or zoom in.` : "");
  }

  // From the list to the mark, as near as it takes to tell it from the others.
  function lead() {
    if (!chosen || !chosen.at) return;
    const apart = placed().filter((one) => one !== chosen).map((one) => map.distance(one.at, chosen.at));
    const wanted = Math.log2(2 * FINGER_PX / Math.min(...apart));
    map.setView(chosen.at, Math.max(map.getZoom(), Math.min(wanted, CLOSEST_ZOOM)));
  }

  function put(one, at) {
    one.at = at;
    if (one.mark) {
      one.mark.setLatLng(at);
      return;
    }
    one.mark = L.marker(at, { icon: iconOf(one), title: nameOf(one), alt: nameOf(one), keyboard: false });
    one.mark.addTo(map);
    one.mark.on("click", tapped);
    one.mark.on("dblclick", () => {}); // two quick taps take two things; the plan does not zoom
    one.mark.on("drag", () => ask(one, one.mark.getLatLng()));
    one.mark.on("dragend", () => move(one, one.mark.getLatLng()));
  }

  function choose(more = "") {
    if (chosen && chosen.mark) chosen.mark.dragging.disable();
    chosen = things.get(pick.value) || null;
    if (chosen && chosen.mark) chosen.mark.dragging.enable();
    label();
    if (!chosen) return idle();
    const keys = window.matchMedia("(hover: hover)").matches ? ", or bring its new place to the middle with the arrows and press Enter" : "";
    return say(chosen.at ? `${nameOf(chosen)}, ${metres(chosen.at)}. Drag it to move it${keys}.${more}` : `Tap the place of ${nameOf(chosen)}.`);
  }

  function fieldsOf(one, at) {
    const fields = { floor, x: at.lng.toFixed(3), y: at.lat.toFixed(3) };
    if (one.height) fields.height_m = one.height;
    return fields;
  }

  async function ask(one, at) {
    const here = shown && (one.kind === "panel" || mapOf.value === "coverage") ? `${valueAt(at)} on the map. ` : "";
    say(`${metres(at)}. ${here}`);
    asked = [one, at, here, spoken];
    if (asking || one.kind === "spot") return;
    asking = true;
    while (asked) {
      const [who, where, said, then] = asked;
      asked = null;
      try {
        const query = new URLSearchParams(fieldsOf(who, where));
        const answer = await read(`${addressOf(box.dataset.heard, who.thing)}?${query}`);
        const found = await answer.json();
        if (spoken === then) say(`${metres(where)}. ${said}${found.said}`);
      } catch (error) {
        asked = null;
      }
    }
    asking = false;
  }

  let saving = false;
  window.addEventListener("beforeunload", (event) => { if (saving) event.preventDefault(); });

  // Asked again, with the same key, until there is an answer: without one nobody knows whether the
  // place is saved, and the server does a move once however often it is sent.
  async function answerTo(one, body) {
    for (;;) {
      const stop = new AbortController();
      const timer = setTimeout(() => stop.abort(), TOO_LONG_MS);
      try {
        const answer = await fetch(addressOf(box.dataset.place, one.thing), { method: "POST", body, headers: { Accept: "application/json" }, signal: stop.signal });
        if ([502, 503, 504].includes(answer.status)) throw new Error("the server is away");
        const known = (answer.headers.get("Content-Type") || "").startsWith("application/json");
        return { status: answer.status, found: known ? await answer.json() : null };
      } catch (error) {
        say(`There is no answer, so it is not known whether the place of ${one.name} is saved. It is sent again until there is one; leave this page open.`);
      } finally {
        clearTimeout(timer);
      }
      await new Promise((done) => { setTimeout(done, AGAIN_MS); });
    }
  }

  async function move(one, at, { confirmed = "", back = false } = {}) {
    const before = one.at;
    const putBack = (why) => {
      if (before) one.mark.setLatLng(before); else if (one.mark) { one.mark.remove(); one.mark = null; }
      say(why);
    };
    if (saving) return putBack("The move before is still being saved. Try again in a moment.");
    saving = true;
    asked = null;
    const body = new URLSearchParams({ ...fieldsOf(one, at), confirmed, key, based_on: revision, csrfmiddlewaretoken: token });
    say(`Saving the place of ${one.name}\u2026`);
    const { status, found } = await answerTo(one, body);
    saving = false;
    if (status === 409 && found) {
      if (window.confirm(found.confirm)) return move(one, at, { confirmed: "1", back });
      return putBack(`${one.name} stays where it was.`);
    }
    if (found && found.go) return window.location.assign(found.go);
    if (status !== 200 || !found) {
      return putBack(found && found.said ? found.said : `${one.name} was put back: the server did not save it. Open the page again if this goes on.`);
    }
    if (!found.alone) return window.location.reload();
    ({ key } = found);
    revision = String(found.revision);
    put(one, at);
    choose();
    last = before && !back ? { one, at: before } : null;
    undo.hidden = !last;
    say(found.said);
    relist();
    if (mapOf.value) {
      await showMap();
      say(found.said);
    }
  }

  // What stands in words around the plan, as it is after a move.
  async function relist() {
    try {
      const answer = await read(location.pathname);
      if (!answer.ok) return;
      const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
      const open = document.querySelector("#things details")?.open;
      [".title-block", ".stages", "#things"].forEach((css) => {
        const [old, now] = [document.querySelector(css), fresh.querySelector(css)];
        if (old && now) old.replaceWith(document.adoptNode(now));
      });
      const details = document.querySelector("#things details");
      if (details && open !== undefined) details.open = open;
    } catch (error) {
      // the place is saved; the list is right again when the page is opened anew
    }
  }

  function at(place) {
    if (chosen && !chosen.at) return move(chosen, place);
    const value = valueAt(place);
    say(`${metres(place)}${value ? `: ${value}` : ""}.`);
    const panel = [...things.values()].find((one) => one.kind === "panel");
    if (panel && shown && !/^(coverage|network)/.test(mapOf.value)) ask(panel, place);
    return undefined;
  }

  things.forEach((one) => {
    if (one.x !== undefined) put(one, L.latLng(Number(one.y), Number(one.x)));
  });
  map.on("click", (event) => at(event.latlng));
  box.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.target !== box) return;
    if (chosen) move(chosen, map.getCenter()); else at(map.getCenter());
  });
  pick.addEventListener("change", () => { choose(); lead(); });
  map.on("zoomend", label);
  mapOf.addEventListener("change", showMap);
  undo.addEventListener("click", () => { if (last) move(last.one, last.at, { back: true }); });
  choose();
  if (mapOf.value) showMap();
})();
