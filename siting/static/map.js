/* Starts the map: stakes, popups, labels, tools. Text from the plan is only ever set as text. */
(function (Siting) {
  "use strict";
  const SVG = "http://www.w3.org/2000/svg";
  const element = Siting.element;

  function mark(role, azimuth) {
    const svg = document.createElementNS(SVG, "svg"), use = document.createElementNS(SVG, "use");
    svg.setAttribute("class", "mark mark-" + role + " c-" + role);
    svg.setAttribute("aria-hidden", "true");
    use.setAttribute("href", "#s-" + role);
    svg.appendChild(use);
    if (role === "head") svg.style.transform = "rotate(" + azimuth + "deg)";
    return svg;
  }

  /* A stake as a marker of 44 pixels, its sign in the middle: called by the stakes' GeoJson layer. */
  Siting.stake = function (feature, latlng) {
    const props = feature.properties;
    const icon = L.divIcon({ className: "stake", html: mark(props.role, props.azimuth), iconSize: [44, 44] });
    const rise = { base: 300, head: 200, offset: -100 }[props.role] || 0;
    return L.marker(latlng, { icon: icon, title: props.title, riseOnHover: true, zIndexOffset: rise });
  };

  /* A point that is no stake, as the sign of its layer. */
  Siting.spot = function (feature, latlng) {
    const icon = L.divIcon({ className: "stake", html: mark("power", 0), iconSize: [44, 44] });
    return L.marker(latlng, { icon: icon, title: feature.properties.title });
  };

  /* True where the map is too small to tell an offset stake from its anchor: then only the anchor is drawn. */
  Siting.far = (map) => 40075016.7 * Math.cos(map.getCenter().lat * Math.PI / 180) / (256 * 2 ** map.getZoom()) > 0.15;

  /* What a popup says of a stake, a line or an area. */
  function card(props) {
    const box = element("div", "card"), list = element("dl", "facts");
    box.appendChild(element("h2", "", props.title));
    if (props.verdict) box.appendChild(element("p", "word fill-" + props.verdict, props.word));
    if (props.note) box.appendChild(element("p", "small", props.note));
    for (const [name, value] of props.rows) {
      list.appendChild(element("dt", "", name));
      list.appendChild(element("dd", "", value));
    }
    box.appendChild(list);
    return box;
  }

  const popupWidth = (map) => Math.min(380, map.getSize().x - 60);

  function reader(map, stakes, measure) {
    let opener = null, popup = null;
    function open(props, latlng, from) {
      const side = map.getSize().x > 600 ? 150 : 12; // beside the buttons; a phone hides them (map.css)
      const content = card(props);
      popup = L.popup({ maxWidth: popupWidth(map), minWidth: Math.min(260, popupWidth(map)), autoPanPaddingTopLeft: [side, 12], autoPanPaddingBottomRight: [12, 12] })
        .setLatLng(latlng).setContent(content).openOn(map);
      const box = popup.getElement();
      box.setAttribute("role", "dialog");
      box.setAttribute("aria-label", props.title);
      content.parentNode.tabIndex = 0; // it scrolls
      opener = from;
      content.parentNode.focus({ preventScroll: true });
    }
    map.on("popupclose", (event) => {
      const held = event.popup.getElement();
      if (event.popup !== popup) return;
      popup = null;
      if (opener && (!document.activeElement || document.activeElement === document.body || (held && held.contains(document.activeElement)))) opener.focus({ preventScroll: true });
    });
    Siting.onEscape(() => {
      if (!popup) return false;
      map.closePopup();
      return true;
    });
    /* Where touch areas overlap, the stake nearest to the finger is meant. */
    function meant(marker, event) {
      if (!event || event.clientX === undefined) return marker;
      const at = map.mouseEventToContainerPoint(event);
      const far = (m) => map.latLngToContainerPoint(m.getLatLng()).distanceTo(at);
      if (far(marker) > 32) return marker; // pressed by a screen reader or a script: no finger
      return stakes().reduce((a, b) => (far(b) < far(a) ? b : a), marker);
    }
    function stakeClicked(event) {
      L.DomEvent.stopPropagation(event);
      const marker = meant(event.target, event.originalEvent);
      if (measure.active()) measure.add(marker.getLatLng());
      else open(marker.feature.properties, marker.getLatLng(), marker.getElement());
    }
    function middle(layer) {
      if (layer.getLatLng) return layer.getLatLng();
      return layer.feature.geometry.type === "Polygon" ? layer.getBounds().getCenter() : L.latLngBounds(layer.getLatLngs()).getCenter();
    }
    map.on("popupopen popupclose", (event) => map.getContainer().parentNode.classList.toggle("reading", event.type === "popupopen"));
    return {
      stake: (marker) => {
        marker.on("click", stakeClicked);
        marker.on("keypress", (event) => {
          if (event.originalEvent.key === "Enter" || event.originalEvent.key === " ") stakeClicked({ target: marker });
        });
      },
      shape: (layer) => {
        layer.on("click", (event) => {
          if (measure.active()) return; // the map itself takes the point
          L.DomEvent.stopPropagation(event);
          open(layer.feature.properties, event.latlng, layer.getElement());
        });
        Siting.focusable(layer, (el) => { if (!measure.active()) open(layer.feature.properties, middle(layer), el); });
      },
      open: open,
    };
  }

  /* Everything of the layout in view; where there is room, beside the open legend. */
  function wholeLayout(map, config) {
    const legend = document.querySelector(".legend"), width = map.getSize().x;
    const beside = legend.open && width > 2.6 * legend.offsetWidth ? legend.offsetWidth + 10 : 0;
    const below = map.getSize().y < 500 ? document.querySelector(".corner").offsetHeight : 0; // a phone held across
    map.fitBounds(config.bounds, { paddingTopLeft: [12, 12], paddingBottomRight: [12 + beside, 12 + below], animate: false });
  }

  /* A turned phone or a drawn panel leaves the whole layout in view, unless the reader has moved the map. */
  function followSize(map, config) {
    const view = () => map.getZoom() + " " + map.getCenter();
    let whole = null, popup = null;
    map.on("popupopen", (event) => { popup = event.popup; });
    map.on("popupclose", () => { popup = null; });
    function fit() {
      wholeLayout(map, config);
      whole = view();
    }
    new ResizeObserver(() => {
      const untouched = view() === whole;
      map.invalidateSize({ pan: !untouched, animate: false });
      if (untouched) fit();
      if (!popup) return;
      popup.options.maxWidth = popupWidth(map);
      popup.update(); // back into view
    }).observe(map.getContainer());
    fit();
    return fit;
  }

  function tools(map) {
    const box = element("div", "tools leaflet-control"), made = {};
    for (const [name, text] of [["all", "See all"], ["measure", "Measure"], ["here", "Find me"]]) {
      const button = made[name] = element("button", "", text);
      button.type = "button";
      if (name !== "all") button.setAttribute("aria-pressed", "false");
      box.appendChild(button);
    }
    L.DomEvent.disableClickPropagation(box);
    const Tools = L.Control.extend({ options: { position: "topleft" }, onAdd: () => box });
    new Tools().addTo(map);
    return made;
  }

  /* What labels leave free: `boxes` of the stakes' signs and of whatever stands over the map; `inked` lines. */
  function taken(map, layers, stakes) {
    const stage = map.getContainer().parentNode;
    function boxes() {
      const frame = map.getContainer().getBoundingClientRect();
      const over = [...stage.querySelectorAll(".leaflet-control:not(.layers *), .legend, .corner, .box")].map((el) => el.getBoundingClientRect());
      const list = over.filter((r) => r.width).map((r) => [r.left - frame.left, r.top - frame.top, r.right - frame.left, r.bottom - frame.top]);
      for (const stake of stakes()) {
        const p = map.latLngToContainerPoint(stake.getLatLng()), r = stake.feature.properties.role === "offset" ? 7 : 11;
        list.push([p.x - r, p.y - r, p.x + r, p.y + r]);
      }
      for (const spot of Object.values(layers).filter((g) => g !== layers.stakes && g.getLayers && map.hasLayer(g)).flatMap((g) => g.getLayers())) {
        if (!spot.getLatLng) continue;
        const p = map.latLngToContainerPoint(spot.getLatLng());
        list.push([p.x - 13, p.y - 13, p.x + 13, p.y + 13]);
      }
      return list;
    }
    /* Small boxes along the lines that no name of a stake or an area should cross. */
    function inked() {
      const list = [];
      for (const group of [layers.laydown, layers.guys, layers.winch, layers.boundary]) {
        for (const line of group && map.hasLayer(group) ? group.getLayers().filter((l) => l.feature) : []) {
          const [a, b] = line.getLatLngs().map((at) => map.latLngToContainerPoint(at)), steps = Math.ceil(a.distanceTo(b) / 10);
          for (let k = 0; k <= steps; k++) {
            const x = a.x + (b.x - a.x) * k / steps, y = a.y + (b.y - a.y) * k / steps;
            list.push([x - 2, y - 2, x + 2, y + 2]);
          }
        }
      }
      return list;
    }
    return { boxes: boxes, inked: inked };
  }

  function addLabels(map, labels, layers) {
    const addStakes = () => layers.stakes.eachLayer((m) => {
      const p = m.feature.properties;
      labels.add({ kind: "stake", layer: layers.stakes, close: p.role === "offset", texts: [p.label], at: m.getLatLng(), azimuth: p.azimuth,
        reach: p.role === "base" || p.role === "head" ? 15 : 11, className: "label-stake label-" + p.role + " c-" + p.role + " label-" + p.verdict });
    });
    const named = [];
    for (const group of Object.values(layers)) {
      if (group === layers.stakes || !group.eachLayer) continue;
      const visit = (l) => (l.feature ? l.feature.properties.label && named.push([group, l]) : l.eachLayer && l.eachLayer(visit));
      group.eachLayer(visit);
    }
    named.sort((a, b) => a[1].feature.properties.order - b[1].feature.properties.order);
    let stakesIn = false;
    for (const [group, l] of named) {
      if (l.feature.properties.order > 1 && !stakesIn) { // the laydown's and the boundary's numbers go first
        addStakes();
        stakesIn = true;
      }
      const p = l.feature.properties;
      if (p.place === "point") {
        labels.add({ kind: "point", layer: group, texts: [p.label], at: l.getLatLng(), azimuth: 0, reach: 13, className: "label-" + p.css });
        continue;
      }
      const nested = l.getLatLngs();
      const lines = Array.isArray(nested[0]) ? nested : [nested];
      labels.add({ kind: p.place, layer: group, texts: [p.label, ...(p.brief ? [p.brief] : [])], dense: p.dense, off: p.off, aside: p.aside, className: "label-" + p.kind + " label-" + p.css,
        lines: p.closed && p.place === "line" ? lines.map((ring) => [...ring, ring[0]]) : lines });
    }
    if (!stakesIn) addStakes();
  }

  /* A white edge under each line, so that it stands out from the ground. */
  function addCases(group) {
    for (const line of group.getLayers()) {
      if (!line.feature || !line.getLatLngs) continue;
      const make = line.feature.geometry.type === "Polygon" ? L.polygon : L.polyline;
      const edge = make(line.getLatLngs(), { className: "k k-case case-" + line.feature.properties.css, interactive: false, smoothFactor: 0 });
      group.addLayer(edge);
    }
    raise(group);
  }

  function raise(group) {
    const lines = group.getLayers().filter((l) => l.bringToFront);
    for (const line of [...lines.filter((l) => !l.feature), ...lines.filter((l) => l.feature)]) line.bringToFront();
  }

  /* Lines and areas switched on again return to their own height in the pile, not on top. */
  function keepOrder(map, layers) {
    map.on("overlayadd", () => {
      for (const layer of Object.values(layers)) if (layer.getLayers && map.hasLayer(layer)) raise(layer);
    });
  }

  /* `layers`: by name, from the lowest to the highest; `config`: bounds, lat, lowered (elevation factor). */
  Siting.start = function (map, layers, config) {
    const isOffset = (m) => m.feature.properties.role === "offset";
    const stakes = () => (map.hasLayer(layers.stakes) ? layers.stakes.getLayers().filter((m) => !Siting.far(map) || !isOffset(m)) : []);
    const scaled = () => map.getContainer().classList.toggle("far", Siting.far(map));
    map.on("zoomend", scaled);
    const buttons = tools(map), every = () => layers.stakes.getLayers();
    Siting.layerBox(map);
    Siting.keyboard(map);
    const measure = Siting.measure(map, config, stakes, buttons.measure);
    const read = reader(map, stakes, measure);
    Siting.here(map, config, every, buttons.here);
    const closeSheet = Siting.panel();
    Siting.sections();
    Siting.stops();
    map.invalidateSize({ animate: false, pan: false });
    document.querySelector(".legend").open = map.getSize().x >= 700 && map.getSize().y >= 560;
    buttons.all.addEventListener("click", followSize(map, config));
    scaled();
    layers.stakes.eachLayer(read.stake);
    for (const [name, group] of Object.entries(layers)) {
      if (name === "stakes" || name === "contours" || !group.eachLayer) continue;
      group.eachLayer(read.shape);
      addCases(group);
    }
    const labels = Siting.labels(map, taken(map, layers, stakes));
    addLabels(map, labels, layers);
    Siting.scaleBar(map, config);
    Siting.where(map);
    keepOrder(map, layers);
    Siting.printing(map, labels);
    document.querySelector(".legend").addEventListener("toggle", labels.place);
    for (const button of document.querySelectorAll("button[data-stake]")) {
      button.addEventListener("click", () => {
        const marker = every().find((m) => m.feature.properties.id === button.dataset.stake);
        closeSheet();
        map.setView(marker.getLatLng(), Math.max(map.getZoom(), isOffset(marker) ? 21 : 18), { animate: false });
        read.open(marker.feature.properties, marker.getLatLng(), button);
      });
    }
    labels.remeasure();
  };
})((window.Siting = window.Siting || {}));
