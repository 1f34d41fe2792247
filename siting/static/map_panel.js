/* The panel beside the map: shown or hidden, its sections, the stops of the lift table. Remembered while the page is open, no longer. */
(function (Siting) {
  "use strict";

  /* Shows and hides the panel; on a phone it starts hidden. Returns what closes it there. */
  Siting.panel = function () {
    const body = document.body, toggle = document.getElementById("toggle"), narrow = window.matchMedia("screen and (max-width: 760px)");
    function set(open) {
      body.classList.toggle("panel-open", open);
      body.classList.toggle("panel-closed", !open);
      toggle.setAttribute("aria-expanded", String(open));
      toggle.textContent = open ? "Hide the details" : "Show the details";
    }
    const isOpen = () => toggle.getAttribute("aria-expanded") === "true";
    toggle.addEventListener("click", () => set(!isOpen()));
    document.querySelector(".skip").addEventListener("click", () => set(true));
    Siting.onEscape(() => {
      if (!narrow.matches || !isOpen()) return false;
      set(false);
      toggle.focus();
      return true;
    });
    set(!narrow.matches);
    return () => { if (narrow.matches) set(false); };
  };

  /* One button opens every section, and closes them again. */
  Siting.sections = function () {
    const parts = [...document.querySelectorAll("details.part")], button = document.getElementById("fold");
    function say() {
      const all = parts.every((part) => part.open);
      button.textContent = all ? "Close all" : "Open all";
      button.setAttribute("aria-expanded", String(all));
    }
    button.addEventListener("click", () => {
      const open = button.getAttribute("aria-expanded") !== "true";
      for (const part of parts) part.open = open;
      say();
    });
    for (const part of parts) part.addEventListener("toggle", say);
    say();
  };

  /* The lift table shows the stop that was chosen: the crew reads one stop at a time. */
  Siting.stops = function () {
    const radios = [...document.querySelectorAll("input[name=stop]")], stops = [...document.querySelectorAll(".stop")];
    function show() {
      const chosen = radios.find((radio) => radio.checked).value;
      for (const stop of stops) stop.classList.toggle("away", chosen !== "all" && stop.dataset.stop !== chosen);
    }
    for (const radio of radios) radio.addEventListener("change", show);
    if (radios.length) show();
  };
})((window.Siting = window.Siting || {}));
