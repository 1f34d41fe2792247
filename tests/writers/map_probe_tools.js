/* Runs inside map.html under test: sections, lift stops, own position, measuring by key, layers by key, sizes; reports to the frame around it. */
(function () {
  "use strict";
  const found = {};
  const $ = (selector) => document.querySelector(selector), $all = (selector) => [...document.querySelectorAll(selector)];
  const seen = (el) => el.getClientRects().length > 0 && el.checkVisibility({ visibilityProperty: true });
  const button = (text) => $all("button").find((b) => b.textContent === text);
  const key = (el, name) => el.dispatchEvent(new KeyboardEvent("keydown", { key: name, bubbles: true, cancelable: true }));
  const words = (id) => document.getElementById(id).textContent;
  const given = JSON.parse(words("given"));

  function width() {
    const page = document.documentElement;
    found.sideways = page.scrollWidth - page.clientWidth + Math.max(0, document.body.scrollWidth - page.clientWidth);
    found.beyond = $all("button, summary, select, .legend, .corner").filter(seen).map((el) => [el.textContent.slice(0, 20), el.getBoundingClientRect()])
      .filter(([, r]) => r.left < -0.5 || r.right > window.innerWidth + 0.5).map(([name]) => name);
  }

  function sections() {
    const parts = $all("details.part");
    if (button("Show the details")) button("Show the details").click();
    found.panel = seen($("#panel"));
    found.headings = parts.filter((part) => seen(part.querySelector("h2"))).length === parts.length;
    const cautions = $(".cautions"), inside = cautions.querySelector(".inside");
    found.closed = !cautions.open && !seen(inside);
    cautions.querySelector("summary").click();
    found.opened = cautions.open && seen(inside);
    button("Open all").click();
    found.allOpen = parts.every((part) => part.open);
    button("Close all") ? button("Close all").click() : $("#fold").click();
    found.allClosed = parts.every((part) => !part.open);
    button("Open all").click();
  }

  function stops() {
    const shown = () => $all(".stop").filter(seen).map((stop) => stop.dataset.stop);
    found.firstStop = shown();
    $all("input[name=stop]")[3].click();
    found.thirdStop = shown();
    $all("input[name=stop]").pop().click();
    found.allStops = shown().length;
  }

  function fonts() {
    const small = new Set(), walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const el = walk.currentNode.parentElement;
      if (!walk.currentNode.data.trim() || el.closest("svg, script, style") || !seen(el)) continue;
      if (parseFloat(getComputedStyle(el).fontSize) < 16) small.add(el.className + ": " + walk.currentNode.data.trim().slice(0, 30));
    }
    found.smallType = [...small];
  }

  function reached() {
    const controls = $all("button, summary, select, input, a[href], .stake, path.k[role=button], [tabindex='0']").filter(seen).filter((el) => !el.disabled && !el.closest("[hidden]"));
    found.controls = controls.length;
    found.notReached = controls.filter((el) => { el.focus(); return document.activeElement !== el; }).map((el) => el.outerHTML.slice(0, 80));
    found.outOfOrder = $all("[tabindex]").filter((el) => el.tabIndex > 0).length;
    const place = (el) => controls.indexOf(el);
    found.toolsFirst = place(button("Measure")) < place($(".stake"));
    if ($(".stake")) $(".stake").focus();
    if (button("Hide the details") && window.innerWidth <= 760) {
      key(document.activeElement, "Escape");
      found.sheetByEscape = !seen($("#panel")) && document.activeElement.id === "toggle";
    }
  }

  function layersByKey() {
    const box = $(".layers"), tick = (name) => $all(".leaflet-control-layers-overlays label").find((l) => l.textContent.trim() === name).querySelector("input");
    box.querySelector("summary").click(); // Enter on a summary is a click
    found.layersOpen = box.open;
    const zone = tick("Exclusion zones of the lift"), drawn = () => $all(".leaflet-pane path.k-zones").length;
    found.zonesBefore = [zone.checked, drawn()];
    zone.focus();
    zone.click();
    found.zonesAfter = [zone.checked, drawn()];
    key(zone, "Escape");
    found.layersClosed = !box.open && document.activeElement === box.querySelector("summary");
  }

  function measureByKey() {
    const frame = $(".leaflet-container");
    button("Measure").dispatchEvent(new MouseEvent("click", { bubbles: true, detail: 0 }));
    found.frameHasFocus = document.activeElement === frame;
    found.cross = seen($(".cross"));
    const at = () => words("measure-cross").match(/-?[\d.]+/g).map(Number);
    window.testMap.setView(given.places[2].slice(0, 2), 18, { animate: false }); // no stake near the cross
    const a = at();
    key(frame, "Enter");
    window.testMap.panBy([120, -90], { animate: false });
    const b = at();
    key(frame, " ");
    found.byKey = { ends: [a, b], text: words("measure-text") };
    key(frame, "Backspace");
    found.oneLeft = words("measure-text");
    key(frame, "Escape");
    found.measureGone = !seen(document.getElementById("measure"));
  }

  function position() {
    found.before = window.asked; // nobody asked yet
    button("Find me").click();
    found.asked = window.asked;
    found.waiting = words("here-state");
    found.ways = given.places.map((place) => {
      window.tell(place);
      const select = document.getElementById("here-stake");
      return given.stakes.map((id) => {
        select.value = id;
        select.dispatchEvent(new Event("change"));
        return { nearest: words("here-near"), way: words("here-way"), own: words("here-own") };
      });
    });
    found.ring = $all("path.k-accuracy").length === 1 && $all("path.k-here").length === 1;
    const dot = $("path.k-here").getBoundingClientRect(), frame = $(".leaflet-container").getBoundingClientRect(), box = document.getElementById("here").getBoundingClientRect();
    const x = (dot.left + dot.right) / 2, y = (dot.top + dot.bottom) / 2;
    found.followed = x > frame.left && x < frame.right && y > frame.top && y < frame.bottom && !(x > box.left && x < box.right && y > box.top && y < box.bottom);
    key(document.body, "Escape");
    found.cleared = window.cleared;
    found.gone = $all("path.k-here").length === 0 && !seen(document.getElementById("here"));
    button("Find me").click();
    window.refuse(1);
    found.refused = words("here-state");
    found.pressedAfterRefusal = button("Find me").getAttribute("aria-pressed");
    document.getElementById("here-end").click();
    button("Find me").click();
    window.refuse(3);
    found.late = words("here-state");
    document.getElementById("here-end").click();
    Object.defineProperty(navigator, "geolocation", { configurable: true, value: undefined });
    button("Find me").click();
    found.without = words("here-state");
    document.getElementById("here-end").click();
  }

  function popupInView(done) {
    $all(".stake").find((el) => el.title.startsWith("A1:")).click();
    setTimeout(() => {
      const r = $all(".leaflet-popup").pop().getBoundingClientRect(), frame = $(".leaflet-container").getBoundingClientRect();
      found.popupOut = [frame.left - r.left, r.right - frame.right, frame.top - r.top].map((v) => Math.max(0, Math.round(v)));
      done();
    }, 1500);
  }

  setTimeout(() => {
    for (const step of [width, sections, width, stops, fonts, reached, layersByKey, measureByKey, position]) {
      try {
        step();
      } catch (error) {
        found.broken = step.name + ": " + error.stack;
        break;
      }
    }
    popupInView(() => {
      found.requests = performance.getEntriesByType("resource").map((r) => r.name).filter((n) => !n.startsWith("data:"));
      window.parent.postMessage({ width: window.innerWidth, found: found }, "*");
    });
  }, 200);
})();
