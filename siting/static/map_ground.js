/* Distances and azimuths on the ground, and the scale bar: the ellipsoid, never Leaflet's sphere. */
(function (Siting) {
  "use strict";
  const A = 6378137.0, E2 = 0.0066943799901413165; // WGS 84
  const rad = Math.PI / 180;

  function radii(latDeg) {
    const root = 1 - E2 * Math.sin(latDeg * rad) ** 2;
    return { m: A * (1 - E2) / root ** 1.5, n: A / Math.sqrt(root) };
  }

  /* Ground distance (metres) and true azimuth (degrees) between two points: the radii of curvature at the middle
     latitude, raised to the base's height by `lowered` = R/(R+h), so that it agrees with the plan's own distances. */
  Siting.ground = function (a, b, lowered) {
    const mid = (a.lat + b.lat) / 2, r = radii(mid);
    const north = r.m * (b.lat - a.lat) * rad;
    const east = r.n * Math.cos(mid * rad) * (b.lng - a.lng) * rad;
    return { metres: Math.hypot(north, east) / lowered, azimuth: (Math.atan2(east, north) / rad + 360) % 360 };
  };

  /* Ground area (square metres) inside a ring of points, on the plane that touches the ellipsoid at their middle. */
  Siting.area = function (points, lowered) {
    const lats = points.map((p) => p.lat), mid = (Math.min(...lats) + Math.max(...lats)) / 2, r = radii(mid), o = points[0];
    const x = points.map((p) => r.n * Math.cos(mid * rad) * (p.lng - o.lng) * rad), y = points.map((p) => r.m * (p.lat - o.lat) * rad);
    const twice = x.reduce((sum, _, i) => sum + x[i] * y[(i + 1) % y.length] - x[(i + 1) % x.length] * y[i], 0);
    return Math.abs(twice) / 2 / lowered ** 2;
  };

  /* An element with its class and its text, which is only ever set as text. */
  Siting.element = function (tag, className, text) {
    const el = document.createElement(tag);
    if (className) el.className = className;
    if (text !== undefined) el.textContent = text;
    return el;
  };

  /* Latitude and longitude as text, WGS 84, to a decimetre. */
  Siting.degrees = (at) => at.lat.toFixed(6) + "°, " + ((at.lng + 540) % 360 - 180).toFixed(6) + "°";

  /* Ground metres in a pixel, west to east, at a latitude and a zoom of Web Mercator (256 pixels at zoom 0). */
  Siting.metresPerPixel = function (latDeg, zoom, lowered) {
    const degrees = 360 / (256 * 2 ** zoom);
    return radii(latDeg).n * Math.cos(latDeg * rad) * degrees * rad / lowered;
  };

  /* The scale bar follows the zoom: a round length whose bar is at most 180 pixels long and leaves the legend its room. */
  Siting.scaleBar = function (map, config) {
    const bar = document.getElementById("scale-bar"), marks = bar.children;
    function draw() {
      const perPixel = Siting.metresPerPixel(config.lat, map.getZoom(), config.lowered);
      const most = Math.max(60, Math.min(180, map.getSize().x - 205)) * perPixel, power = 10 ** Math.floor(Math.log10(most));
      const length = [5, 2, 1].map((k) => k * power).find((k) => k <= most);
      bar.style.width = length / perPixel + "px";
      const text = (metres) => (metres >= 1000 ? metres / 1000 + " km" : Number(metres.toPrecision(6)) + " m");
      marks[1].textContent = length / perPixel < 110 ? "" : text(length / 2); // no room
      marks[2].textContent = text(length);
    }
    map.on("zoomend viewreset resize", draw);
    draw();
  };

  /* Where the pointer is, or without one the middle of the map, in degrees of WGS 84. */
  Siting.where = function (map) {
    const out = document.getElementById("where");
    const say = (name, at) => { out.textContent = name + " " + Siting.degrees(at); };
    map.on("mousemove", (event) => say("Pointer", event.latlng));
    map.on("mouseout move", () => say("Middle", map.getCenter()));
    say("Middle", map.getCenter());
  };
})((window.Siting = window.Siting || {}));
