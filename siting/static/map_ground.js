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

  /* Ground metres in a pixel, west to east, at a latitude and a zoom of Web Mercator (256 pixels at zoom 0). */
  Siting.metresPerPixel = function (latDeg, zoom, lowered) {
    const degrees = 360 / (256 * 2 ** zoom);
    return radii(latDeg).n * Math.cos(latDeg * rad) * degrees * rad / lowered;
  };

  /* The scale bar follows the zoom: a round length whose bar is at most 180 pixels long. */
  Siting.scaleBar = function (map, config) {
    const bar = document.getElementById("scale-bar"), marks = bar.children;
    function draw() {
      const perPixel = Siting.metresPerPixel(config.lat, map.getZoom(), config.lowered);
      const most = 180 * perPixel, power = 10 ** Math.floor(Math.log10(most));
      const length = [5, 2, 1].map((k) => k * power).find((k) => k <= most);
      bar.style.width = length / perPixel + "px";
      const text = (metres) => (metres >= 1000 ? metres / 1000 + " km" : Number(metres.toPrecision(6)) + " m");
      marks[1].textContent = text(length / 2);
      marks[2].textContent = text(length);
    }
    map.on("zoomend viewreset", draw);
    draw();
  };
})((window.Siting = window.Siting || {}));
