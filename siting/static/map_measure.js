/* The measuring tool: tap points, read ground distances and true azimuths; a tap near a stake takes the stake itself. */
(function (Siting) {
  "use strict";
  const SNAP_PX = 18;

  Siting.measure = function (map, config, stakes, button) {
    const panel = document.getElementById("measure"), out = document.getElementById("measure-text");
    const line = L.polyline([], { className: "k k-measure", interactive: false, smoothFactor: 0 }).addTo(map);
    let points = [], names = [], active = false;

    function nearestStake(latlng) {
      const here = map.latLngToContainerPoint(latlng);
      const far = (stake) => map.latLngToContainerPoint(stake.getLatLng()).distanceTo(here);
      const best = stakes().reduce((a, b) => (a && far(a) <= far(b) ? a : b), null);
      return best && far(best) <= SNAP_PX ? best : null;
    }

    function say() {
      if (points.length < 2) {
        out.textContent = points.length ? "From " + names[0] + ": tap the next point." : "Tap the first point. A tap near a stake takes the stake.";
        return;
      }
      const legs = points.slice(1).map((p, i) => Siting.ground(points[i], p, config.lowered));
      const last = legs[legs.length - 1], total = legs.reduce((sum, leg) => sum + leg.metres, 0);
      const n = points.length;
      out.textContent = names[n - 2] + " to " + names[n - 1] + ": " + last.metres.toFixed(2) + " m, azimuth " +
        (last.azimuth % 360).toFixed(2) + "° true" + (n > 2 ? "; total " + total.toFixed(2) + " m" : "");
    }

    function redraw() {
      line.setLatLngs(points);
      say();
    }
    function addPoint(latlng) {
      const stake = nearestStake(latlng);
      points.push(stake ? stake.getLatLng() : latlng);
      names.push(stake ? stake.feature.properties.id : "point " + points.length);
      redraw();
    }
    function set(on) {
      active = on;
      points = [];
      names = [];
      panel.hidden = !on;
      button.setAttribute("aria-pressed", String(on));
      map.getContainer().parentNode.classList.toggle("measuring", on);
      if (on) map.closePopup();
      map.doubleClickZoom[on ? "disable" : "enable"]();
      redraw();
    }
    function end() {
      if (!active) return;
      set(false);
      button.focus();
    }

    button.addEventListener("click", () => set(!active));
    document.getElementById("measure-undo").addEventListener("click", () => {
      points.pop();
      names.pop();
      redraw();
    });
    document.getElementById("measure-end").addEventListener("click", end);
    document.addEventListener("keydown", (event) => { if (event.key === "Escape") end(); });
    map.on("click", (event) => { if (active) addPoint(event.latlng); });
    return { active: () => active, add: addPoint };
  };
})((window.Siting = window.Siting || {}));
