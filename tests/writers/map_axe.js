/* What axe looks at in map.html beside the page as it opens. */
axeReport(async (run, button) => {
  if (window.innerWidth <= 760) button("Hide the details").click();
  document.querySelector(".layers").open = false;
  document.querySelector("path.k-laydown").dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true }));
  await run("popup");
  document.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape", bubbles: true }));
  button("Measure").click();
  button("Find me").click();
  await run("tools");
});
