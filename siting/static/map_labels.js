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
  function aroundStake(map, label, form) {
    const p = map.latLngToContainerPoint(label.at), places = [];
    for (const far of [0, 13, 26]) {
      for (const turn of [0, 45, -45, 90, -90, 135, -135, 180]) {
        const t = (label.azimuth + turn) * Math.PI / 180, dx = Math.sin(t), dy = -Math.cos(t);
        const reach = label.reach + far;
        places.push({ x: p.x + dx * (reach + form.w / 2), y: p.y + dy * (reach + form.h / 2), angle: 0 });
      }
    }
    return places;
  }

  /* Places along a line or an outline, turned with it, readable from below or from the right. */
  function alongLine(map, label, form) {
    const places = [];
    for (const line of label.lines) {
      const p = line.map((at) => map.latLngToContainerPoint(at)), sums = [0];
      for (let i = 1; i < p.length; i++) sums.push(sums[i - 1] + p[i].distanceTo(p[i - 1]));
      const total = sums[sums.length - 1];
      if (total < form.w + 8) continue;
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

  function inside(ring, x, y) {
    let odd = false;
    for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
      const a = ring[i], b = ring[j];
      if (a.y > y !== b.y > y && x < (b.x - a.x) * (y - a.y) / (b.y - a.y) + a.x) odd = !odd;
    }
    return odd;
  }

  /* Places wholly inside an area, on a grid over what is in view: the middle first, or (`aside`) the rim first. */
  function insideArea(map, label, form) {
    const size = map.getSize(), ring = label.lines[0].map((at) => map.latLngToContainerPoint(at)), places = [];
    const xs = ring.map((p) => p.x), ys = ring.map((p) => p.y);
    const x0 = Math.max(0, Math.min(...xs)), x1 = Math.min(size.x, Math.max(...xs));
    const y0 = Math.max(0, Math.min(...ys)), y1 = Math.min(size.y, Math.max(...ys));
    for (let x = x0 + form.w / 2; x < x1; x += 24) {
      for (let y = y0 + form.h; y < y1; y += 18) {
        const corners = [-1, 1].flatMap((i) => [-1, 1].map((j) => [x + i * (form.w / 2 + 3), y + j * (form.h / 2 + 3)]));
        if (corners.every((c) => inside(ring, c[0], c[1]))) places.push({ x: x, y: y, angle: 0 });
      }
    }
    const off = (p) => Math.hypot(p.x - (x0 + x1) / 2, p.y - (y0 + y1) / 2) * (label.aside ? -1 : 1);
    return places.sort((a, b) => off(a) - off(b));
  }

  const PLACES = { stake: aroundStake, point: aroundStake, line: alongLine, area: insideArea };

  /* A set of labels on a map. `taken.boxes` (container pixels) stay free of every label, `taken.inked`
     of those that do not run along a line; a label that finds no place so may cross ink. */
  Siting.labels = function (map, taken) {
    const pane = map.createPane("labels"), all = [];
    pane.style.zIndex = 640;
    pane.style.pointerEvents = "none";

    /* `label.texts`: what it says, at full length first, then shorter. */
    function add(label) {
      label.forms = label.texts.map((text) => {
        const el = document.createElement("div");
        el.className = "label leaflet-zoom-hide " + label.className;
        el.textContent = text;
        el.setAttribute("aria-hidden", "true");
        pane.appendChild(el);
        return { el: el, w: 0, h: 0 };
      });
      all.push(label);
    }

    function findSpot(label, form, full, ink) {
      const size = map.getSize();
      const free = PLACES[label.kind](map, label, form).filter((spot) => {
        const b = spot.box = box(spot.x, spot.y, form.w, form.h, spot.angle);
        const inView = b[0] >= 0 && b[1] >= 0 && b[2] <= size.x && b[3] <= size.y;
        return inView && !full.some((other) => hit(b, other));
      });
      const clear = (spot) => label.kind === "line" || !ink.some((other) => hit(spot.box, other));
      return free.find(clear) || (label.kind === "stake" && free[0]) || null;
    }

    function place() {
      const full = taken.boxes(), ink = taken.inked();
      for (const label of all) {
        let spot = null;
        for (const form of label.forms) {
          const shown = map.hasLayer(label.layer) && !(label.close && Siting.far(map));
          const here = !spot && shown ? findSpot(label, form, full, ink) : null;
          form.el.style.display = here ? "" : "none";
          if (!here) continue;
          spot = here;
          full.push(spot.box);
          const at = map.containerPointToLayerPoint([spot.x, spot.y]);
          form.el.style.transform = "translate(" + at.x + "px," + at.y + "px) rotate(" + spot.angle + "rad) translate(-50%,-50%)";
        }
      }
    }

    /* After labels were added, or where the type changes size (paper): measure all, then place. */
    function remeasure() {
      for (const form of all.flatMap((label) => label.forms)) {
        form.el.style.display = "";
        form.w = form.el.offsetWidth;
        form.h = form.el.offsetHeight;
      }
      place();
    }
    map.on("moveend zoomend resize overlayadd overlayremove", place);
    return { add: add, place: place, remeasure: remeasure };
  };
})((window.Siting = window.Siting || {}));
