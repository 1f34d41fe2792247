/* Starts the map of a search: numbered spots, what is said of each, the list beside. Text is only ever set as text. */
(function (Siting) {
  "use strict";
  const SVG = "http://www.w3.org/2000/svg";
  const element = Siting.element;

  function drawn(tag, attributes) {
    const el = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(attributes)) el.setAttribute(name, value);
    return el;
  }

  /* The sign of a spot: its rank in the form of its verdict, and an arrow from the base to the mast's head. */
  Siting.found = function (feature, latlng) {
    const p = feature.properties, svg = drawn("svg", { class: "found-mark c-" + p.verdict, viewBox: "-22 -22 44 44", "aria-hidden": "true" });
    if (p.azimuth !== null) {
      const arrow = drawn("g", { transform: "rotate(" + p.azimuth + ")", fill: "none", "stroke-linejoin": "round" });
      for (const [ink, width] of [["#fff", 6], ["#111", 2.6]]) arrow.appendChild(drawn("path", { d: "M0 -10V-27M-5 -22L0 -28L5 -22", stroke: ink, "stroke-width": width }));
      svg.appendChild(arrow);
    }
    svg.appendChild(drawn("use", { href: "#f-" + p.verdict, x: -13, y: -13, width: 26, height: 26 }));
    const rank = drawn("text", { x: 0, y: 0 });
    rank.textContent = p.rank;
    svg.appendChild(rank);
    const icon = L.divIcon({ className: "stake", html: svg, iconSize: [44, 44] });
    return L.marker(latlng, { icon: icon, title: p.title + ", " + p.word.toLowerCase(), riseOnHover: true, zIndexOffset: 1000 - p.rank });
  };

  /* An obstacle that is a point: a dot in the ink of its layer. */
  Siting.spot = (feature, latlng) => L.circleMarker(latlng, { radius: 4, className: "k k-dot k-" + feature.properties.css, interactive: false });

  /* A white edge under each line, so that it stands out from the cells. */
  function addCases(group) {
    const lines = group.getLayers();
    for (const line of lines) {
      if (!line.getLatLngs) continue;
      const make = line.feature.geometry.type === "Polygon" ? L.polygon : L.polyline;
      group.addLayer(make(line.getLatLngs(), { className: "k k-case case-" + line.feature.properties.css, interactive: false, smoothFactor: 0 }));
    }
    raise(group);
  }

  /* Layers that are switched on again return to their own height in the pile. */
  function raise(group) {
    const lines = group.getLayers().filter((l) => l.bringToFront);
    for (const line of [...lines.filter((l) => !l.feature), ...lines.filter((l) => l.feature)]) line.bringToFront();
  }

  /* Names on the land; the spots with their arrows and whatever stands over the map stay free. */
  function landLabels(map, layers, land) {
    const stage = map.getContainer().parentNode;
    function boxes() {
      const frame = map.getContainer().getBoundingClientRect();
      const over = [...stage.querySelectorAll(".leaflet-control:not(.layers *), .legend, .corner")].map((el) => el.getBoundingClientRect());
      const list = over.filter((r) => r.width).map((r) => [r.left - frame.left, r.top - frame.top, r.right - frame.left, r.bottom - frame.top]);
      for (const spot of map.hasLayer(layers.spots) ? layers.spots.getLayers() : []) {
        const p = map.latLngToContainerPoint(spot.getLatLng());
        list.push([p.x - 22, p.y - 26, p.x + 22, p.y + 22]);
      }
      return list;
    }
    const labels = Siting.labels(map, { boxes: boxes, inked: () => [] }), named = [];
    for (const group of land) group.eachLayer((l) => { if (l.feature && l.feature.properties.label) named.push([group, l]); });
    named.sort((a, b) => a[1].feature.properties.order - b[1].feature.properties.order);
    for (const [group, line] of named) {
      const p = line.feature.properties, look = { layer: group, texts: [p.label, ...(p.brief ? [p.brief] : [])], className: "label-" + p.css };
      if (p.place === "point") {
        labels.add({ ...look, kind: "point", at: line.getLatLng(), azimuth: 0, reach: 8 });
        continue;
      }
      const nested = line.getLatLngs(), lines = Array.isArray(nested[0]) ? nested : [nested];
      labels.add({ ...look, kind: p.place, off: 10, aside: p.css === "own_land", lines: lines });
    }
    return labels;
  }

  function card(p) {
    const box = element("div", "card"), list = element("dl", "facts"), link = element("a", "", p.file);
    box.append(element("h2", "", p.title), element("p", "word fill-" + p.verdict, p.word));
    for (const note of p.notes) box.appendChild(element("p", "", note));
    for (const [name, value] of p.rows) list.append(element("dt", "", name), element("dd", "", value));
    link.href = p.file;
    box.append(list, link);
    return box;
  }

  function reader(map) {
    let popup = null, opener = null;
    const width = () => Math.min(380, map.getSize().x - 60);
    map.on("resize", () => {
      if (!popup) return;
      popup.options.maxWidth = width();
      popup.update(); // back into view
    });
    map.on("popupopen popupclose", (event) => map.getContainer().parentNode.classList.toggle("reading", event.type === "popupopen"));
    map.on("popupclose", () => {
      popup = null;
      if (opener) opener.focus({ preventScroll: true });
    });
    Siting.onEscape(() => {
      if (!popup) return false;
      map.closePopup();
      return true;
    });
    return function (marker, from) {
      const p = marker.feature.properties, content = card(p);
      popup = L.popup({ maxWidth: width(), minWidth: Math.min(260, width()), autoPanPaddingTopLeft: [12, 12], autoPanPaddingBottomRight: [12, 12] })
        .setLatLng(marker.getLatLng()).setContent(content).openOn(map);
      popup.getElement().setAttribute("role", "dialog");
      popup.getElement().setAttribute("aria-label", p.title);
      content.parentNode.tabIndex = 0; // it scrolls
      opener = from;
      content.parentNode.focus({ preventScroll: true });
    };
  }

  /* What the land leaves in view, or all; a turned phone or a drawn panel keeps it in view, unless the reader has moved the map. */
  function followSize(map, config) {
    const view = () => map.getZoom() + " " + map.getCenter();
    let whole = null, bounds = config.near;
    function fit(wanted) {
      bounds = wanted;
      const legend = document.querySelector(".legend"), size = map.getSize();
      const beside = legend.open && size.x > 2.6 * legend.offsetWidth ? legend.offsetWidth + 10 : 0;
      const isNarrow = size.x < 700; // no room beside buttons and scale
      const above = isNarrow ? 70 : 40, below = isNarrow ? document.querySelector(".corner").offsetHeight + 18 : 30;
      map.fitBounds(bounds, { paddingTopLeft: [30, above], paddingBottomRight: [30 + beside, below], animate: false });
      whole = view();
    }
    new ResizeObserver(() => {
      const untouched = view() === whole;
      map.invalidateSize({ pan: !untouched, animate: false });
      if (untouched) fit(bounds);
    }).observe(map.getContainer());
    fit(bounds);
    return fit;
  }

  function buttons(map, presses) {
    const box = element("div", "tools leaflet-control");
    for (const [text, press] of presses) {
      const button = element("button", "", text);
      button.type = "button";
      button.addEventListener("click", press);
      box.appendChild(button);
    }
    L.DomEvent.disableClickPropagation(box);
    const Tools = L.Control.extend({ options: { position: "topleft" }, onAdd: () => box });
    new Tools().addTo(map);
  }

  /* `layers`: cells, spots and what there is of the land, the lowest first; `config`: bounds of all and `near` of what the land leaves, lat, lowered. */
  Siting.startSearch = function (map, layers, config) {
    let fit = () => {};
    buttons(map, [["See the best", () => fit(config.near)], ["See all", () => fit(config.bounds)]]);
    Siting.layerBox(map);
    Siting.keyboard(map);
    const read = reader(map), closeSheet = Siting.panel();
    Siting.sections();
    map.invalidateSize({ animate: false, pan: false });
    document.querySelector(".legend").open = map.getSize().x >= 700 && map.getSize().y >= 560;
    fit = followSize(map, config);
    const land = Object.entries(layers).filter(([name]) => name !== "cells" && name !== "spots").map(([, group]) => group);
    land.forEach(addCases);
    map.on("overlayadd", () => land.filter((group) => map.hasLayer(group)).forEach(raise));
    const labels = landLabels(map, layers, land);
    const markers = layers.spots.getLayers();
    for (const marker of markers) {
      marker.on("click", () => read(marker, marker.getElement()));
      marker.on("keypress", (event) => {
        if (event.originalEvent.key === "Enter" || event.originalEvent.key === " ") read(marker, marker.getElement());
      });
    }
    Siting.scaleBar(map, config);
    Siting.where(map);
    Siting.printing(map, labels);
    document.querySelector(".legend").addEventListener("toggle", labels.place);
    labels.remeasure();
    for (const button of document.querySelectorAll("button[data-spot]")) {
      button.addEventListener("click", () => {
        const marker = markers.find((m) => m.feature.properties.rank === Number(button.dataset.spot));
        closeSheet();
        if (!map.hasLayer(layers.spots)) map.addLayer(layers.spots);
        map.setView(marker.getLatLng(), Math.max(map.getZoom(), 16), { animate: false });
        read(marker, button);
      });
    }
  };
})((window.Siting = window.Siting || {}));
