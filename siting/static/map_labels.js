/* Labels that never lie on each other: each takes the first free one of its places, or waits for a closer zoom. */
(function (Siting) {
  "use strict";
  const GAP = 2;

  function box(x, y, w, h, angle) {
    const c = Math.abs(Math.cos(angle)), s = Math.abs(Math.sin(angle));
    const halfW = (w * c + h * s) / 2 + GAP, halfH = (w * s + h * c) / 2 + GAP;
    return [x - halfW, y - halfH, x + halfW, y + halfH];
  }
  const hit = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];

  /* Places around a stake: away from the base first, then turning to both sides, then once more farther out. */
  function aroundStake(map, label) {
    const p = map.latLngToContainerPoint(label.at), places = [];
    for (const far of [0, 13, 26]) {
      for (const turn of [0, 45, -45, 90, -90, 135, -135, 180]) {
        const t = (label.azimuth + turn) * Math.PI / 180, dx = Math.sin(t), dy = -Math.cos(t);
        const reach = label.reach + far;
        places.push({ x: p.x + dx * (reach + label.w / 2), y: p.y + dy * (reach + label.h / 2), angle: 0 });
      }
    }
    return places;
  }

  /* Places along a line or an outline, turned with it, readable from below or from the right. */
  function alongLine(map, label) {
    const places = [];
    for (const line of label.lines) {
      const p = line.map((at) => map.latLngToContainerPoint(at)), sums = [0];
      for (let i = 1; i < p.length; i++) sums.push(sums[i - 1] + p[i].distanceTo(p[i - 1]));
      const total = sums[sums.length - 1];
      if (total < label.w + 8) continue;
      const steps = label.dense ? Math.min(24, Math.max(2, Math.floor(total / 90))) : 12;
      const shares = Array.from({ length: steps - 1 }, (_, k) => (k + 1) / steps);
      shares.sort((a, b) => Math.abs(a - 0.5) - Math.abs(b - 0.5));
      for (const share of shares) {
        const i = Math.max(1, sums.findIndex((sum) => sum >= share * total)), a = p[i - 1], b = p[i];
        const part = (share * total - sums[i - 1]) / (sums[i] - sums[i - 1] || 1);
        let angle = Math.atan2(b.y - a.y, b.x - a.x);
        if (angle > Math.PI / 2 || angle <= -Math.PI / 2) angle += Math.PI;
        const x = a.x + (b.x - a.x) * part, y = a.y + (b.y - a.y) * part;
        for (const side of label.off ? [-label.off, label.off] : [0]) {
          places.push({ x: x - side * Math.sin(angle), y: y + side * Math.cos(angle), angle: angle });
        }
      }
    }
    return places;
  }

  /* Places inside an area: its middle, then half-way and nearer to each corner. */
  function insideArea(map, label) {
    const places = [];
    for (const ring of label.lines) {
      const p = ring.map((at) => map.latLngToContainerPoint(at));
      const x = p.reduce((sum, q) => sum + q.x, 0) / p.length, y = p.reduce((sum, q) => sum + q.y, 0) / p.length;
      for (const share of [0.75, 0.5, 0.25, 0]) {
        for (const q of p) places.push({ x: x + share * (q.x - x), y: y + share * (q.y - y), angle: 0 });
      }
    }
    return places;
  }

  const PLACES = { stake: aroundStake, line: alongLine, area: insideArea };

  /* A set of labels on a map. `taken.boxes` (container pixels) stay free of every label, `taken.inked`
     of those that do not run along a line; a label that finds no place so may cross ink. */
  Siting.labels = function (map, taken) {
    const pane = map.createPane("labels"), all = [];
    pane.style.zIndex = 640;
    pane.style.pointerEvents = "none";

    function add(label) {
      const el = document.createElement("div");
      el.className = "label leaflet-zoom-hide " + label.className;
      el.textContent = label.text;
      el.setAttribute("aria-hidden", "true");
      pane.appendChild(el);
      all.push(Object.assign(label, { el: el, w: el.offsetWidth, h: el.offsetHeight }));
    }

    function place() {
      const size = map.getSize(), full = taken.boxes(), ink = taken.inked();
      for (const label of all) {
        const free = map.hasLayer(label.layer) ? PLACES[label.kind](map, label).filter((spot) => {
          const b = spot.box = box(spot.x, spot.y, label.w, label.h, spot.angle);
          const inView = b[0] >= 0 && b[1] >= 0 && b[2] <= size.x && b[3] <= size.y;
          return inView && !full.some((other) => hit(b, other));
        }) : [];
        const clear = (spot) => label.kind === "line" || !ink.some((other) => hit(spot.box, other));
        const spot = free.find(clear) || (label.kind === "stake" && free[0]);
        label.el.style.display = spot ? "" : "none";
        if (!spot) continue;
        full.push(spot.box);
        const at = map.containerPointToLayerPoint([spot.x, spot.y]);
        label.el.style.transform = "translate(" + at.x + "px," + at.y + "px) rotate(" + spot.angle + "rad) translate(-50%,-50%)";
      }
    }
    function remeasure() {
      for (const label of all) {
        label.el.style.display = "";
        label.w = label.el.offsetWidth;
        label.h = label.el.offsetHeight;
      }
      place();
    }
    map.on("moveend zoomend resize overlayadd overlayremove", place);
    return { add: add, place: place, remeasure: remeasure };
  };
})((window.Siting = window.Siting || {}));
