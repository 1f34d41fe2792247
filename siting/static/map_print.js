/* Paper: one sheet with map, legend and stakes; with everything asked for, the sections follow on sheets of their own. */
(function (Siting) {
  "use strict";

  /* On paper the map takes the sheet's size (map_print.css); what was in view stays in view. */
  Siting.printing = function (map, labels) {
    const stage = document.getElementById("stage"), folds = [document.querySelector(".legend"), ...document.querySelectorAll("details.part")];
    let before = null;
    window.addEventListener("beforeprint", () => {
      if (before) return;
      before = { centre: map.getCenter(), zoom: map.getZoom(), open: folds.map((fold) => fold.open) };
      const view = map.getBounds().pad(-0.04);
      map.closePopup();
      for (const fold of folds) fold.open = true;
      stage.classList.add("on-paper");
      map.invalidateSize({ animate: false, pan: false });
      map.fitBounds(view, { animate: false });
      labels.remeasure();
    });
    window.addEventListener("afterprint", () => {
      if (!before) return;
      folds.forEach((fold, i) => { fold.open = before.open[i]; });
      stage.classList.remove("on-paper");
      document.body.classList.remove("print-all");
      map.invalidateSize({ animate: false, pan: false });
      map.setView(before.centre, before.zoom, { animate: false });
      before = null;
      labels.remeasure();
    });
    function print(all) {
      document.body.classList.toggle("print-all", all);
      window.print();
    }
    document.getElementById("print-page").addEventListener("click", () => print(false));
    document.getElementById("print-all").addEventListener("click", () => print(true));
  };
})((window.Siting = window.Siting || {}));
