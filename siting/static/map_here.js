/* The reader's own position, on demand: the browser's, drawn with its accuracy, and the way to the stakes. Nothing leaves the page. */
(function (Siting) {
  "use strict";
  const FAR_M = 20000; // beyond this the azimuth at the middle of the way is no use to walk by
  const SETTINGS = { enableHighAccuracy: true, maximumAge: 2000, timeout: 30000 };
  const REFUSED = 1, TIMEOUT = 3; // GeolocationPositionError

  function without(code) {
    if (code === REFUSED) {
      const why = location.protocol === "file:" ? "Many browsers give no position to a page that was opened from a file." : "It can be allowed in the browser's settings.";
      return "No position: the browser does not give this page your position. " + why + " Go by azimuth and distance in the stake table, or open stakes.kml in the phone's map program.";
    }
    if (code === TIMEOUT) return "No position yet. Step into the open; still trying.";
    return "No position: the device does not know where it is. Switch its location on and step into the open; still trying.";
  }

  function metres(value) {
    return value >= 1000 ? (value / 1000).toFixed(2) + " km" : value.toFixed(1) + " m";
  }

  Siting.here = function (map, config, stakes, button) {
    const el = (id) => document.getElementById("here-" + id), box = document.getElementById("here");
    const ring = L.circle([0, 0], { className: "k k-accuracy", interactive: false }), dot = L.circleMarker([0, 0], { radius: 9, className: "k k-here", interactive: false });
    let watch = null, place = null, following = true;

    function direction(way) {
      const magnetic = config.declination === null ? "" : ", " + ((way.azimuth - config.declination + 360) % 360).toFixed(1) + "° magnetic";
      return (way.azimuth % 360).toFixed(1) + "° true" + magnetic;
    }
    function way(stake, accuracy) {
      const found = Siting.ground(place, stake.getLatLng(), config.lowered), id = stake.feature.properties.id;
      if (found.metres > FAR_M) return { text: id + ": more than " + FAR_M / 1000 + " km away", azimuth: found.azimuth };
      const near = found.metres < accuracy ? ". Nearer than the position is known" : "";
      return { text: id + ": " + metres(found.metres) + " at " + direction(found) + near, azimuth: found.azimuth };
    }
    function write(accuracy) {
      const far = (stake) => Siting.ground(place, stake.getLatLng(), config.lowered).metres;
      const nearest = stakes().reduce((a, b) => (far(b) < far(a) ? b : a)), wanted = stakes().find((s) => s.feature.properties.id === el("stake").value);
      const chosen = way(wanted, accuracy);
      el("near").textContent = "Nearest " + way(nearest, accuracy).text;
      el("way").textContent = chosen.text;
      el("arrow").style.transform = "rotate(" + chosen.azimuth + "deg)";
      el("own").textContent = "You: " + Siting.degrees(place) + ", to ± " + accuracy.toFixed(0) + " m";
      el("found").hidden = el("follow").hidden = false;
      el("state").textContent = "";
    }
    /* Keeps the position in the part of the map that the box leaves free. */
    function show() {
      if (!following) return;
      const frame = map.getContainer().getBoundingClientRect(), over = box.getBoundingClientRect(), low = over.top - frame.top > frame.height / 2 - 90;
      const above = low ? 70 : over.bottom - frame.top + 30, below = low ? frame.bottom - over.top + 30 : 60;
      map.panInside(place, { paddingTopLeft: [60, above], paddingBottomRight: [60, below], animate: false });
    }
    function found(position) {
      if (watch === null) return;
      const first = place === null, c = position.coords;
      place = L.latLng(c.latitude, c.longitude);
      ring.setLatLng(place).setRadius(c.accuracy);
      dot.setLatLng(place);
      if (first) {
        ring.addTo(map);
        dot.addTo(map);
        const near = Siting.ground(place, L.latLng(config.bounds[0]), config.lowered).metres < FAR_M;
        if (near && !map.getBounds().contains(place)) map.fitBounds(L.latLngBounds(config.bounds).extend(place), { animate: false, padding: [30, 30] });
        following = near;
      }
      write(c.accuracy);
      show();
    }
    function failed(error) {
      if (watch === null) return;
      el("state").textContent = without(error.code);
      if (error.code === REFUSED) stop();
    }
    function stop() {
      if (watch !== null && navigator.geolocation) navigator.geolocation.clearWatch(watch);
      watch = place = null;
      ring.remove();
      dot.remove();
      button.setAttribute("aria-pressed", "false");
      el("found").hidden = el("follow").hidden = true;
    }
    function start() {
      box.hidden = false;
      if (!navigator.geolocation) {
        el("state").textContent = without(REFUSED);
        return;
      }
      following = true;
      button.setAttribute("aria-pressed", "true");
      el("state").textContent = "Asking the browser for your position.";
      watch = -1; // until the browser has given the number: an answer may come before
      const number = navigator.geolocation.watchPosition(found, failed, SETTINGS);
      if (watch !== null) watch = number;
    }
    function end() {
      if (box.hidden) return false;
      stop();
      box.hidden = true;
      button.focus();
      return true;
    }

    button.addEventListener("click", () => (watch === null ? start() : end()));
    el("end").addEventListener("click", end);
    el("follow").addEventListener("click", () => {
      following = true;
      map.setView(place, map.getZoom(), { animate: false });
      show();
    });
    el("stake").addEventListener("change", () => { if (place) write(ring.getRadius()); });
    map.on("dragstart", () => { following = false; });
    Siting.onEscape(end);
  };
})((window.Siting = window.Siting || {}));
