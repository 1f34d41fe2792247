/* The measuring tool: points by finger, mouse or key give ground distances, true azimuths and an area; near a stake, the stake. */
(function (Siting) {
  "use strict";
  const SNAP_PX = 18;

  Siting.measure = function (map, config, stakes, button) {
    const panel = document.getElementById("measure"), out = document.getElementById("measure-text"), at = document.getElementById("measure-cross");
    const line = L.polyline([], { className: "k k-measure", interactive: false, smoothFactor: 0 }).addTo(map);
    let points = [], names = [], active = false;

    function nearestStake(latlng) {
      const here = map.latLngToContainerPoint(latlng);
      const far = (stake) => map.latLngToContainerPoint(stake.getLatLng()).distanceTo(here);
      const best = stakes().reduce((a, b) => (a && far(a) <= far(b) ? a : b), null);
      return best && far(best) <= SNAP_PX ? best : null;
    }

    function said() {
      const n = points.length;
      if (!n) return "Tap the first point, or put the cross on it and press Enter. Near a stake, the stake is taken.";
      if (n === 1) return "From " + names[0] + ": the next point.";
      const legs = points.slice(1).map((p, i) => Siting.ground(points[i], p, config.lowered));
      const last = legs[n - 2], total = legs.reduce((sum, leg) => sum + leg.metres, 0);
      const sum = n > 2 ? "; total " + total.toFixed(2) + " m" : "";
      const area = n > 2 ? "; area, closed, " + Siting.area(points, config.lowered).toFixed(0) + " m²" : "";
      return names[n - 2] + " to " + names[n - 1] + ": " + last.metres.toFixed(2) + " m, azimuth " + (last.azimuth % 360).toFixed(2) + "° true" + sum + area;
    }

    function redraw() {
      line.setLatLngs(points);
      out.textContent = said();
    }
    function addPoint(latlng) {
      const stake = nearestStake(latlng);
      points.push(stake ? stake.getLatLng() : latlng);
      names.push(stake ? stake.feature.properties.id : "point " + points.length);
      redraw();
    }
    const addCross = () => addPoint(map.getCenter());
    function takeBack() {
      points.pop();
      names.pop();
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
      if (!active) return false;
      set(false);
      button.focus();
      return true;
    }
    const cross = () => { at.textContent = "Cross: " + Siting.degrees(map.getCenter()); };

    button.addEventListener("click", (event) => {
      set(!active);
      if (active && event.detail === 0) map.getContainer().focus(); // pressed by key: the arrows now move the cross
    });
    document.getElementById("measure-add").addEventListener("click", addCross);
    document.getElementById("measure-undo").addEventListener("click", takeBack);
    document.getElementById("measure-end").addEventListener("click", end);
    map.getContainer().addEventListener("keydown", (event) => {
      if (!active || event.target !== map.getContainer()) return;
      const press = { Enter: addCross, " ": addCross, Backspace: takeBack }[event.key];
      if (!press) return;
      event.preventDefault();
      press();
    });
    map.on("click", (event) => { if (active) addPoint(event.latlng); });
    map.on("move", cross);
    cross();
    Siting.onEscape(end);
    return { active: () => active, add: addPoint };
  };
})((window.Siting = window.Siting || {}));
