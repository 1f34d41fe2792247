/* Runs inside map.html under test: uses the page as a reader would, and reports what it found to the frame around it. */
(function () {
  "use strict";
  const found = {};
  const $all = (selector) => [...document.querySelectorAll(selector)];
  const seen = (el) => el.getClientRects().length > 0;
  const button = (text) => $all("button").find((b) => b.textContent === text);
  const stake = (id) => $all(".stake").find((el) => el.title.startsWith(id + ":"));
  const open = () => document.querySelector(".stage").classList.contains("reading") ? 1 : 0;
  const popup = () => $all(".leaflet-popup").pop(); // the last: an older one fades for a moment

  function overlaps() {
    const labels = $all(".label").filter(seen).map((el) => [el.textContent, el.getBoundingClientRect()]);
    const frame = document.querySelector(".leaflet-container").getBoundingClientRect();
    found.labels = labels.map((l) => l[0]);
    found.overlaps = [];
    labels.forEach(([name, a], i) => labels.slice(i + 1).forEach(([other, b]) => {
      if (a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom) found.overlaps.push([name, other]);
    }));
    found.outside = labels.filter(([, r]) => r.left < frame.left || r.right > frame.right || r.top < frame.top || r.bottom > frame.bottom).length;
  }

  function targets() {
    const wide = button("Show the details"), layers = document.querySelector(".layers");
    if (wide) wide.click();
    layers.open = true;
    $all("details.part").forEach((part) => { part.open = true; });
    const all = $all("button, summary, .leaflet-control-zoom a, .stake, select, .stops label, .leaflet-control-layers-overlays label").filter(seen);
    found.targets = all.length;
    found.smallTargets = all.map((el) => [el.textContent || el.title, el.getBoundingClientRect()])
      .filter(([, r]) => r.width < 43.9 || r.height < 43.9).map(([name, r]) => name + " " + r.width + "x" + r.height);
    layers.open = false;
    if (wide) wide.click();
  }

  function popups() {
    stake("A1").click();
    found.card = popup().textContent;
    const close = document.querySelector(".leaflet-popup-close-button").getBoundingClientRect();
    found.close = Math.min(close.width, close.height);
    stake("HEAD").dispatchEvent(new KeyboardEvent("keypress", { key: "Enter", bubbles: true }));
    found.cardByKey = popup().querySelector("h2").textContent;
    found.cardHasFocus = popup().contains(document.activeElement);
    found.cardName = popup().getAttribute("aria-label");
    const line = document.querySelector("path.k-laydown");
    line.focus();
    line.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true }));
    found.lineByKey = popup().querySelector("h2").textContent;
    const shown = open();
    document.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape", bubbles: true }));
    found.closedByEscape = shown === 1 && open() === 0;
    found.backOnTheLine = document.activeElement === line;
    document.querySelector("path.k-parcel").dispatchEvent(new MouseEvent("click", { bubbles: true }));
    found.parcelCard = popup().textContent;
    found.boldInPopup = popup().querySelectorAll("b, script").length;
    popup().querySelector(".leaflet-popup-close-button").click();
  }

  function measuring() {
    const text = () => document.getElementById("measure-text").textContent;
    const cards = $all(".card").length;
    button("Measure").click();
    found.measureOn = seen(document.getElementById("measure"));
    stake("BASE").click();
    stake("A1").click();
    stake("SR").click();
    found.measured = text();
    button("Take back").click();
    found.takenBack = text();
    found.popupWhileMeasuring = $all(".card").length > cards;
    document.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape" }));
    found.measureOff = !seen(document.getElementById("measure"));
    found.focusAfter = document.activeElement.textContent;
  }

  function layers() {
    button("See all").click(); // an outline is clipped to what is in view
    const boxes = $all(".leaflet-control-layers-selector"), drawn = () => $all("path.k:not(.k-measure):not(.k-case)").filter((p) => p.closest(".leaflet-pane")).length;
    found.layerNames = $all(".leaflet-control-layers-overlays label").map((l) => l.textContent.trim());
    const before = drawn();
    found.fallZonePoints = document.querySelector(".leaflet-pane path.k-fall_zone").getAttribute("d").split("L").length;
    boxes.forEach((b) => b.click());
    found.leftWhenOff = drawn() + $all(".stake").length + $all(".label").filter(seen).length;
    boxes.forEach((b) => b.click());
    found.sameWhenOn = drawn() === before && $all(".stake").length > 0;
    const zone = $all(".leaflet-control-layers-overlays label").find((l) => l.textContent.trim() === "Fall zone").querySelector("input");
    zone.click();
    zone.click();
    const order = $all(".leaflet-overlay-pane path.k").map((p) => p.getAttribute("class"));
    found.laydownOnTop = order.findIndex((c) => c.includes("k-laydown")) > order.findIndex((c) => c.includes("k-fall_zone"));
  }

  function paper() {
    const width = () => document.querySelector(".leaflet-container").getBoundingClientRect().width, before = width();
    window.dispatchEvent(new Event("beforeprint"));
    found.paperMm = width() / 96 * 25.4;
    window.dispatchEvent(new Event("afterprint"));
    found.backFromPaper = width() === before;
  }

  function numbers() {
    const spots = JSON.parse(document.getElementById("spots").textContent);
    found.ground = spots.pairs.map(([a, b]) => Siting.ground(a, b, spots.lowered));
    found.metresPerPixel = Siting.metresPerPixel(spots.pairs[0][0].lat, 18, spots.lowered);
    const bar = document.getElementById("scale-bar"), text = [...bar.children].map((c) => c.textContent);
    found.bar = { px: bar.getBoundingClientRect().width, text: text };
  }

  function requests() {
    found.requests = performance.getEntriesByType("resource").map((r) => r.name).filter((n) => !n.startsWith("data:"));
  }

  setTimeout(() => {
    for (const step of [overlaps, targets, popups, measuring, layers, paper, numbers, requests]) {
      try {
        step();
      } catch (error) {
        found.broken = step.name + ": " + error;
        break;
      }
    }
    window.parent.postMessage({ width: window.innerWidth, found: found }, "*");
  }, 200);
})();
