/* The keyboard: Escape closes what is on top, lines and areas take the focus, the layers open like any other list. */
(function (Siting) {
  "use strict";
  Siting.still = window.matchMedia("(prefers-reduced-motion: reduce)").matches;
  if (Siting.still) {
    const panBy = L.Map.prototype.panBy;
    L.Map.mergeOptions({ zoomAnimation: false, fadeAnimation: false, markerZoomAnimation: false, inertia: false });
    L.Map.include({ panBy: function (offset, options) { return panBy.call(this, offset, { ...options, animate: false }); } });
  }

  /* Whoever can be closed says so; the first that closes something has taken the key. */
  const closers = [];
  Siting.onEscape = (close) => closers.push(close);
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !closers.some((close) => close())) return;
    event.preventDefault();
    event.stopPropagation();
  }, true);

  /* A line, an area or a sign on the map as a button: `press` is called with its element. */
  Siting.focusable = function (layer, press) {
    function set() {
      const el = layer.getElement();
      if (!el) return;
      el.setAttribute("tabindex", "0");
      el.setAttribute("role", "button");
      el.setAttribute("aria-label", layer.feature.properties.title);
      el.addEventListener("keydown", (event) => {
        if (event.key !== "Enter" && event.key !== " ") return;
        event.preventDefault();
        event.stopPropagation();
        press(el);
      });
    }
    layer.on("add", set); // a layer that is switched on again has a new element
    set();
  };

  /* The list of layers inside an element that opens by finger, mouse and key alike. */
  Siting.layerBox = function (map) {
    const list = map.getContainer().querySelector(".leaflet-control-layers"), box = document.createElement("details"), summary = document.createElement("summary");
    summary.textContent = "Layers";
    box.className = "layers leaflet-control";
    list.removeAttribute("aria-haspopup");
    list.querySelector(".leaflet-control-layers-toggle").remove();
    list.parentNode.insertBefore(box, list);
    box.append(summary, list);
    L.DomEvent.disableClickPropagation(box);
    L.DomEvent.disableScrollPropagation(box);
    map.on("click", () => { box.open = false; });
    Siting.onEscape(() => {
      if (!box.open) return false;
      box.open = false;
      summary.focus();
      return true;
    });
    return box;
  };

  /* Names and order: the buttons come before what is drawn, and a link that looks like a button takes the space bar. */
  Siting.keyboard = function (map) {
    const frame = map.getContainer();
    frame.setAttribute("role", "group");
    frame.setAttribute("aria-label", "Map. Arrow keys move it, plus and minus zoom.");
    frame.insertBefore(frame.querySelector(".leaflet-control-container"), frame.firstChild);
    frame.addEventListener("keydown", (event) => {
      if (event.key !== " " || !event.target.matches("a[role=button]")) return;
      event.preventDefault();
      event.target.click();
    });
  };
})((window.Siting = window.Siting || {}));
